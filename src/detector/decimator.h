#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace brink::detector {

/// Halves a sample rate: half-band low-pass, then every second sample. Flat within 0.01 dB up to
/// `flat_to` of the new rate; what would fold below that is at least 80 dB down (Kaiser design, J.
/// F. Kaiser, "Nonrecursive digital filter design using the I0-sinh window function", 1974). The
/// nearer to half of the new rate, the longer it is. Constructing allocates, process() does not.
/// [analysis]
class Decimator {
 public:
  static constexpr double kUsuallyFlatTo = 0.4;
  static constexpr double kMostFlatTo = 0.436;  ///< here each output spans 87 samples of input

  /// `block_samples`: the one input length that process() takes, even, > 0. `flat_to`: above 0, up
  /// to kMostFlatTo.
  explicit Decimator(int block_samples, double flat_to = kUsuallyFlatTo);

  /// `block`: block_samples of input. Returns half as many; valid until the next call.
  [[nodiscard]] std::span<const float> process(std::span<const float> block) noexcept;

  /// Of the input.
  [[nodiscard]] int delay_samples() const noexcept;

 private:
  std::vector<float> taps_;  ///< of the odd phase, from the centre out, the same on both sides; the
                             ///< even phase is the centre tap alone
  std::size_t history_;      ///< past samples of each phase that a block still needs
  std::vector<float> even_, odd_;  ///< past and present input by phase, oldest first
  std::vector<float> output_;
};

}  // namespace brink::detector
