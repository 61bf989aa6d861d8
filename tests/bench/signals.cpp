#include "bench/signals.h"

#include <cmath>
#include <complex>
#include <numbers>

namespace brink::bench {

float Random::bell() noexcept {
  const std::uint64_t draw = engine_();
  const std::uint64_t sum =
      (draw & 0xffffU) + ((draw >> 16U) & 0xffffU) + ((draw >> 32U) & 0xffffU) + (draw >> 48U);
  // Four even numbers over 0 .. 65535: mean 2 * 65535, variance 4 * (65536^2 - 1) / 12.
  constexpr float kMean = 131070.0F;
  constexpr float kDeviation = 37837.22723F;
  return (static_cast<float>(sum) - kMean) / kDeviation;
}

void render(const ToneInNoise& tone, Random& random, std::span<float> samples) {
  constexpr double kNepersPerDb = std::numbers::ln10 / 20.0;
  const std::complex<double> step =
      std::exp(std::complex<double>{tone.growth_db_per_s * kNepersPerDb,
                                    2.0 * std::numbers::pi * tone.frequency_hz} /
               tone.sample_rate_hz);
  // One rotation per sample, renewed now and then so that rounding cannot add up.
  constexpr std::size_t kRenew = 256;
  std::complex<double> value;
  for (std::size_t n = 0; n < samples.size(); ++n) {
    if (n % kRenew == 0) {
      const double turns = tone.frequency_hz / tone.sample_rate_hz * static_cast<double>(n);
      const double level = tone.growth_db_per_s * kNepersPerDb * static_cast<double>(n);
      value = std::polar(tone.amplitude * std::exp(level / tone.sample_rate_hz),
                         2.0 * std::numbers::pi * (turns - std::floor(turns)) + tone.phase_rad);
    }
    const auto noise = static_cast<float>(tone.noise_rms) * random.bell();
    samples[n] = static_cast<float>(value.real()) + noise;
    value *= step;
  }
}

}  // namespace brink::bench
