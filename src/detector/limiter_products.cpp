#include "detector/limiter_products.h"

#include <algorithm>
#include <cmath>

namespace brink::detector {

namespace {

constexpr double kLoudDbfs = -30.0;  // below, no limiter works

bool is_at(double frequency_hz, double product_hz) noexcept {
  return std::abs(std::abs(product_hz) - frequency_hz) < std::max(2.0, 0.0015 * frequency_hz);
}

}  // namespace

bool is_harmonic(double frequency_hz, double ring_hz) noexcept {
  const double multiple = std::round(frequency_hz / ring_hz);
  return multiple >= 2.0 && multiple <= 9.0 && is_at(frequency_hz, multiple * ring_hz);
}

bool is_intermodulation(double frequency_hz, double a_hz, double b_hz) noexcept {
  return is_at(frequency_hz, 2.0 * a_hz - b_hz) || is_at(frequency_hz, 2.0 * a_hz + b_hz) ||
         is_at(frequency_hz, 3.0 * a_hz - 2.0 * b_hz) ||
         is_at(frequency_hz, 3.0 * a_hz + 2.0 * b_hz) || is_at(frequency_hz, 4.0 * a_hz - b_hz) ||
         is_at(frequency_hz, 4.0 * a_hz + b_hz);
}

double limiting_dbfs(double level_dbfs, double above_db) noexcept {
  return std::max(kLoudDbfs, level_dbfs + above_db);
}

}  // namespace brink::detector
