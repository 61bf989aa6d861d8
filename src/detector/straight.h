#pragma once

#include <span>

namespace brink::detector {

/// A least-squares line through values at equally spaced looks.
struct Straight {
  float mean = 0.0F;
  float slope = 0.0F;      ///< per look, forward in time
  float residual = 0.0F;   ///< root mean square distance of the values from the line
  float curvature = 0.0F;  ///< of the parabola through what the line leaves, per look squared
};

/// Through `values`, at least three, the newest first.
[[nodiscard]] Straight line_through_looks(std::span<const float> values) noexcept;

}  // namespace brink::detector
