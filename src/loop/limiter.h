#pragma once

#include <cmath>

namespace brink::loop {

/// What an amplifier at its end does to one sample: exactly linear up to half of `limit_lin`, then
/// bending softly, never beyond it. Odd, without memory: a saturated ring gets odd harmonics.
[[nodiscard]] inline double soft_limit(double sample, double limit_lin) noexcept {
  const double knee = 0.5 * limit_lin;
  const double beyond = std::abs(sample) - knee;
  if (beyond <= 0.0) {
    return sample;
  }
  return std::copysign(knee + knee * std::tanh(beyond / knee), sample);
}

}  // namespace brink::loop
