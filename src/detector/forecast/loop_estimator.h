#pragma once

#include <complex>
#include <cstdint>
#include <span>
#include <vector>

#include "base/double_fft.h"
#include "base/long_toeplitz.h"
#include "detector/forecast/whitener.h"

namespace brink::detector {

/// What a stretch of sound tells of a loop.
struct LoopStretch {
  std::vector<double> correlation;  ///< of the whitened samples, lags 0 to LoopEstimator::kLatestS
  double pitched_share = 0.0;       ///< of the time, in which a voice had a pitch
};

/// Estimates a loop that does not ring from the programme that runs through it. A tap hears the
/// programme, and what the loop brings back of all that the tap heard before. So once the programme
/// is white, the tap predicts itself from its own past only through the loop: the least squares
/// prediction from lags of kEarliestS to kLatestS is the loop's impulse response. Stated biases: a
/// programme that repeats itself within these lags (held notes, the pitch of a voice) is taken for
/// a loop; a loop shorter than kEarliestS is not seen.
///
/// push() neither allocates nor throws; finish_stretch() and estimate() do the heavy work, when the
/// caller has time: up to about 50 ms. Not for an audio callback. [analysis]
class LoopEstimator {
 public:
  /// `sample_rate_hz`: 8000 to 32000, of what push() gets.
  explicit LoopEstimator(double sample_rate_hz);

  /// The next samples, in blocks of any size. A non-finite sample counts as silence.
  void push(std::span<const float> block) noexcept;

  /// Ends a stretch of the sound: all since the last one. The correlation of several stretches is
  /// the sum of theirs.
  [[nodiscard]] LoopStretch finish_stretch();

  /// Forgets all samples, after a gap.
  void reset() noexcept;

  /// The impulse response of the loop, lag 0 first, all zeros before kEarliestS. Empty when the
  /// correlation is of silence.
  [[nodiscard]] std::vector<double> estimate(std::span<const double> correlation);

  static constexpr double kEarliestS = Whitener::kColourS;
  static constexpr double kLatestS = 0.6;

 private:
  void take_hop() noexcept;
  void correlate() noexcept;

  std::size_t lags_;
  std::size_t earliest_;
  Whitener whitener_;
  std::vector<float> hop_;
  std::size_t hop_filled_ = 0;
  std::size_t hops_ = 0;  // of this stretch
  std::size_t pitched_hops_ = 0;
  base::DoubleFft fft_;
  std::vector<double> white_;   // `lags_` earlier samples, then the new ones
  std::size_t filled_;          // of white_
  std::vector<double> recent_;  // white_ with its first `lags_` samples silent
  std::vector<std::complex<double>> white_bins_;
  std::vector<std::complex<double>> recent_bins_;
  std::vector<std::complex<double>> cross_;  // cross spectrum of both, summed
  base::LongToeplitz system_;
};

}  // namespace brink::detector
