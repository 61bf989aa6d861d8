#pragma once

#include <cstdint>
#include <random>

namespace brink::loop {

/// Random numbers from a seed, the same on every platform. The C++ standard fixes the generator's
/// output. The mapping to a range is our own, since the standard's distributions differ between
/// libraries. Never allocates. [any]
class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_{seed} {}

  /// Uniform over 0 <= x < 1.
  double uniform() noexcept;

  /// Uniform between two values.
  double between(double low, double high) noexcept { return low + (high - low) * uniform(); }

  /// Mean 0, variance 1. The sum of 12 uniform numbers: near enough to a normal distribution for
  /// noise, but never beyond +-6.
  double normal() noexcept;

  /// 0 <= n < count.
  int below(int count) noexcept { return static_cast<int>(uniform() * count); }

 private:
  std::mt19937_64 engine_;
};

}  // namespace brink::loop
