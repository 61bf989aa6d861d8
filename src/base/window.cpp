#include "base/window.h"

#include <cmath>
#include <numbers>

namespace brink::base {

std::vector<float> hann_window(int size_samples) {
  std::vector<float> window(static_cast<std::size_t>(size_samples));
  for (std::size_t n = 0; n < window.size(); ++n) {
    const double turn = static_cast<double>(n) / size_samples;
    window[n] = static_cast<float>(0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * turn));
  }
  return window;
}

float hann_lobe(float offset_bins) noexcept {
  const float d = std::abs(offset_bins);
  constexpr float kPi = std::numbers::pi_v<float>;
  if (d < 1e-3F) {
    return 1.0F;
  }
  if (std::abs(d - 1.0F) < 1e-3F) {
    return 0.5F;  // the limit at one bin
  }
  return std::sin(kPi * d) / (kPi * d * (1.0F - d * d));
}

std::array<float, 5> hann_lobes_around(float offset_bins) noexcept {
  constexpr float kPi = std::numbers::pi_v<float>;
  const float sine = std::sin(kPi * offset_bins) / kPi;
  std::array<float, 5> lobes{};
  for (std::size_t i = 0; i < lobes.size(); ++i) {
    const int step = static_cast<int>(i) - 2;
    const float d = offset_bins - static_cast<float>(step);
    const float divisor = d * (1.0F - d * d);
    // sin(pi (offset - step)) is the sine with alternating sign.
    const float exact = (step % 2 == 0 ? sine : -sine) / divisor;
    lobes[i] = std::abs(divisor) > 1e-3F ? exact : hann_lobe(d);
  }
  return lobes;
}

}  // namespace brink::base
