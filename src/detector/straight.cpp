#include "detector/straight.h"

#include <cmath>

namespace brink::detector {

Straight line_through_looks(std::span<const float> values) noexcept {
  const auto count = static_cast<float>(values.size());
  const float centre = (count - 1.0F) / 2.0F;
  float sum = 0.0F;
  float sum_xy = 0.0F;
  for (std::size_t i = 0; i < values.size(); ++i) {
    sum += values[i];
    sum_xy += (centre - static_cast<float>(i)) * values[i];
  }
  const float mean = sum / count;
  Straight line;
  line.mean = mean;
  line.slope = 12.0F * sum_xy / (count * (count * count - 1.0F));
  const float mean_xx = (count * count - 1.0F) / 12.0F;
  float squares = 0.0F;
  float bend = 0.0F;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const float x = centre - static_cast<float>(i);
    const float off = values[i] - mean - line.slope * x;
    squares += off * off;
    bend += (x * x - mean_xx) * off;
  }
  line.residual = std::sqrt(squares / count);
  line.curvature = bend * 180.0F / (count * (count * count - 1.0F) * (count * count - 4.0F));
  return line;
}

}  // namespace brink::detector
