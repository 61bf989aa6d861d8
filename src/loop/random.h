#pragma once

#include <cstdint>
#include <random>

namespace brink::loop {

/// Seeded random numbers that are the same on every platform: the generator's output is fixed by
/// the C++ standard, the mapping is ours (the standard's distributions differ between libraries).
/// Never allocates. [any]
class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_{seed} {}

  /// Evenly spread over 0 <= x < 1.
  double uniform() noexcept;

  /// Evenly spread between two values.
  double between(double low, double high) noexcept { return low + (high - low) * uniform(); }

  /// Mean 0, variance 1, near enough to a normal distribution for noise (sum of 12 uniform numbers:
  /// never beyond +-6).
  double normal() noexcept;

  /// 0 <= n < count.
  int below(int count) noexcept { return static_cast<int>(uniform() * count); }

 private:
  std::mt19937_64 engine_;
};

}  // namespace brink::loop
