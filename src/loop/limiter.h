#pragma once

#include <cmath>

namespace brink::loop {

/// What an amplifier at its limit does to one sample. It is exactly linear up to half of
/// `limit_lin`. Above that it bends softly and never passes `limit_lin`. The curve is odd and has
/// no memory, so a ring in the limiter gets odd harmonics.
[[nodiscard]] inline double soft_limit(double sample, double limit_lin) noexcept {
  const double knee = 0.5 * limit_lin;
  const double beyond = std::abs(sample) - knee;
  if (beyond <= 0.0) {
    return sample;
  }
  return std::copysign(knee + knee * std::tanh(beyond / knee), sample);
}

}  // namespace brink::loop
