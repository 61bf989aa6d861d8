#pragma once

#include <algorithm>
#include <cmath>
#include <limits>

namespace brink::base {

/// The int that is nearest to a number of a file; 0 for NaN. A cast of what an int cannot have is
/// undefined.
[[nodiscard]] inline int nearest_int(double value) noexcept {
  constexpr double kLowest = std::numeric_limits<int>::min();
  constexpr double kHighest = std::numeric_limits<int>::max();
  return std::isnan(value) ? 0 : static_cast<int>(std::clamp(std::round(value), kLowest, kHighest));
}

}  // namespace brink::base
