#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace brink::detector {

/// Takes the programme's own colour out of a tap, as it is from one moment to the next: every 15 ms
/// a linear prediction over kColourS, whose error is what remains. Its level is made even, too: it
/// is divided by its envelope, which rises at once and falls slowly (kReleaseS), so that what
/// decays in a pause still decays. What a loop brings back comes later than kColourS, so it
/// remains.
///
/// Whitening before a loop is estimated: A. Spriet, I. Proudler, M. Moonen, J. Wouters, "Adaptive
/// feedback cancellation in hearing aids with linear prediction of the desired signal", IEEE Trans.
/// Signal Process. 53(10), 2005. [analysis]
class Whitener {
 public:
  /// `sample_rate_hz`: 8000 to 32000.
  explicit Whitener(double sample_rate_hz);

  [[nodiscard]] std::size_t hop_samples() const noexcept { return hop_; }

  /// Takes the next hop_samples() samples and gives as many, which came two hops before the last of
  /// them. Valid until the next call. Digital silence gives zeros. Never allocates.
  [[nodiscard]] std::span<const double> process(std::span<const float> hop) noexcept;

  /// Whether a pitch was taken out of the last two hops.
  [[nodiscard]] bool has_pitch() const noexcept { return has_pitch_; }

  /// Forgets all samples.
  void reset() noexcept;

  /// A loop must be longer than this.
  static constexpr double kColourS = 0.002;

 private:
  void predict() noexcept;
  void take_out_pitch() noexcept;

  std::size_t hop_;
  std::size_t order_;
  std::size_t shortest_;  // period of a pitch
  std::size_t longest_;
  double release_;                   // of the envelope, for one hop
  std::vector<double> window_;       // of two hops
  std::vector<double> samples_;      // the last two hops, after `order_` earlier samples
  std::vector<double> windowed_;     // the last two hops
  std::vector<double> correlation_;  // lags 0 to order_
  std::vector<double> predictor_;
  std::vector<double> scratch_;
  std::vector<double> always_;  // mean correlation, at each lag from shortest_ to longest_
  std::vector<double> error_;   // of the last two hops, after `longest_` earlier ones
  std::vector<double> sum_;     // of overlapping errors; its first hop is complete
  std::int64_t hops_ = 0;       // since the start
  bool has_pitch_ = false;
  double envelope_ = 0.0;
};

}  // namespace brink::detector
