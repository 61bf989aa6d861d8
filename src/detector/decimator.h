#pragma once

#include <span>
#include <vector>

namespace brink::detector {

/// Halves a sample rate: half-band low-pass, then every second sample. Flat within 0.01 dB up to
/// 0.4 of the new rate; what would fold below that is at least 80 dB down (Kaiser design, J. F.
/// Kaiser, "Nonrecursive digital filter design using the I0-sinh window function", 1974).
/// Delay: delay_samples() of the input. Constructing allocates, process() does not. [analysis]
class Decimator {
 public:
  /// `block_samples`: the one input length that process() takes, even, > 0.
  explicit Decimator(int block_samples);

  /// `block`: block_samples of input. Returns half as many; valid until the next call.
  [[nodiscard]] std::span<const float> process(std::span<const float> block) noexcept;

  [[nodiscard]] static int delay_samples() noexcept;

 private:
  std::vector<float> taps_;        ///< of the odd phase; the even phase is the centre tap alone
  std::vector<float> even_, odd_;  ///< past and present input by phase, oldest first
  std::vector<float> output_;
};

}  // namespace brink::detector
