#include "base/biquad.h"

#include <numbers>

namespace brink::base {

std::complex<double> response(const Biquad& section,
                              double frequency_hz,
                              double sample_rate_hz) noexcept {
  const double turn = 2.0 * std::numbers::pi * frequency_hz / sample_rate_hz;
  const std::complex<double> z1 = std::polar(1.0, -turn);
  const std::complex<double> z2 = z1 * z1;
  return (section.b0 + section.b1 * z1 + section.b2 * z2) /
         (1.0 + section.a1 * z1 + section.a2 * z2);
}

void BiquadRunner::run(std::span<float> samples) noexcept {
  for (float& sample : samples) {
    sample = static_cast<float>(step(static_cast<double>(sample)));
  }
}

}  // namespace brink::base
