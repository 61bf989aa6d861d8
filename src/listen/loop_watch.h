#pragma once

#include <deque>
#include <span>
#include <vector>

#include "base/double_fft.h"
#include "detector/forecast/loop_estimator.h"
#include "listen/forecast.h"
#include "listen/slowed_tap.h"

namespace brink::listen {

/// Keeps a forecast of one tap's loop up to date. The tap is heard in stretches of kStretchS; the
/// forecast rests on the last few of them and is new after each. When all places have moved
/// together, the gain was moved, and it begins anew. Frequencies up to 0.4 of a rate of 16 to 32
/// kHz (a slower tap has its own). At the end of a stretch push() takes up to about 100 ms.
/// [analysis]
class LoopWatch {
 public:
  explicit LoopWatch(double sample_rate_hz);

  /// The next samples, in blocks of any size. The forecast does not depend on how they are cut.
  void push(std::span<const float> block);
  /// Forgets everything, after a gap.
  void reset();

  [[nodiscard]] const Forecast& forecast() const noexcept { return forecast_; }

  // What FeedWatch has alike.
  static constexpr double kStretchS = 6.0;
  static constexpr std::size_t kMostStretches = 5;
  /// Two stretches may agree by chance, and tell nothing of a move of the gain between them.
  static constexpr std::size_t kFewestStretches = 3;
  static constexpr double kLowestHz = 60.0;
  static constexpr double kStepHz = 0.5;  ///< between the frequencies of a spectrum, at most

 private:
  struct Stretch {
    detector::LoopStretch heard;
    LoopSpectrum loop;
  };

  void take(std::span<const float> samples);
  void finish_stretch();
  void tell();
  [[nodiscard]] LoopSpectrum spectrum(std::span<const double> correlation);
  [[nodiscard]] double moved_db() const;

  SlowedTap slowed_;
  double rate_hz_;  // of it
  detector::LoopEstimator estimator_;
  base::DoubleFft fft_;
  std::size_t heard_ = 0;  // samples of the present stretch
  std::deque<Stretch> stretches_;
  Forecast forecast_;
};

}  // namespace brink::listen
