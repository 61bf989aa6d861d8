#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "base/double_fft.h"
#include "detector/forecast/two_tap_estimator.h"
#include "listen/forecast.h"
#include "listen/slowed_tap.h"

namespace brink::listen {

/// Keeps a forecast of one microphone's loop up to date, from its tap and from the feed of the one
/// loudspeaker that it is heard through. It rests on the last 30 s, as LoopWatch's, and is new
/// after each stretch of 6 s. The work on it is done in pieces while the next stretch is heard: at
/// 48 kHz push() takes up to about 100 ms, and 15 % of a core in all. It tells nothing while
/// the feed holds hardly anything else than the microphone. When the microphone's gain into the
/// feed was moved, it begins anew. [analysis]
class FeedWatch {
 public:
  /// `feed_tap`: the feed's channel number, for FeedView::tap.
  FeedWatch(double sample_rate_hz, int feed_tap);

  /// The next samples of both, in blocks of any size, equally long. The forecast does not depend on
  /// how they are cut. A non-finite sample counts as silence.
  void push(std::span<const float> microphone, std::span<const float> feed);
  /// Ends the stream: a forecast that is being worked on is told.
  void finish();
  /// Forgets everything, after a gap.
  void reset();

  /// With a FeedView as soon as something was estimated.
  [[nodiscard]] const Forecast& forecast() const noexcept { return forecast_; }

  /// Whether the feed holds so much else that one tap alone would be deceived.
  [[nodiscard]] bool has_other() const noexcept;

 private:
  void hear(std::size_t samples);
  void work();
  void end_stretch();
  void tell();
  [[nodiscard]] bool was_moved() const noexcept;
  void forget_estimated();
  void drop(std::size_t samples);
  [[nodiscard]] LoopSpectrum loop(std::span<const double> closed_path, const LoopSpectrum& console);

  int feed_tap_;
  SlowedTap slowed_microphone_;
  SlowedTap slowed_feed_;
  double rate_hz_;
  std::size_t stretch_samples_;
  std::size_t piece_samples_;  // heard for each piece of the work
  std::vector<float> microphone_;
  std::vector<float> feed_;
  std::size_t heard_ = 0;   // samples of the present stretch
  std::size_t waited_ = 0;  // samples since the last piece of work
  bool is_working_ = false;
  std::size_t dropped_ = 0;    // stretches that are no longer kept
  std::size_t estimated_ = 0;  // samples that the estimate rests on
  detector::TwoTapEstimator estimator_;
  base::DoubleFft fft_;
  Forecast forecast_;
};

}  // namespace brink::listen
