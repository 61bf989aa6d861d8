#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "detector/decimator.h"

namespace brink::listen {

/// Brings a tap to a rate of 16 to 32 kHz (a slower tap keeps its own), which is enough for a
/// forecast. [analysis]
class SlowedTap {
 public:
  explicit SlowedTap(double sample_rate_hz);

  /// The rate afterwards.
  [[nodiscard]] double rate_hz() const noexcept { return rate_hz_; }

  /// The next samples, in blocks of any size. `use` gets them slowed, in blocks of one size, which
  /// do not depend on how the samples are cut.
  void push(std::span<const float> block, const std::function<void(std::span<const float>)>& use);

  /// Forgets what waits, after a gap.
  void reset() noexcept { waits_ = 0; }

  /// Frequencies up to here are whole, as a share of rate_hz().
  static constexpr double kHighestShare = detector::Decimator::kUsuallyFlatTo;
  /// So many samples make a block for `use`.
  static constexpr std::size_t kStepSamples = 1024;

 private:
  std::vector<detector::Decimator> decimators_;
  double rate_hz_;
  std::vector<float> waiting_;
  std::size_t waits_ = 0;  // samples in waiting_
};

}  // namespace brink::listen
