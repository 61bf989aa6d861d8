#include "bench/signals.h"

#include <cmath>
#include <complex>
#include <numbers>

namespace brink::bench {

float Random::bell() noexcept {
  const std::uint64_t draw = engine_();
  const std::uint64_t sum =
      (draw & 0xffffU) + ((draw >> 16U) & 0xffffU) + ((draw >> 32U) & 0xffffU) + (draw >> 48U);
  // Sum of four uniform numbers over 0 .. 65535: mean 2 * 65535, variance 4 * (65536^2 - 1) / 12.
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
  // One rotation for each sample, computed exactly from time to time so that rounding errors do not
  // add up.
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

Programme::Programme(double sample_rate_hz, std::uint64_t seed)
    : sample_rate_hz_{sample_rate_hz}, random_{seed} {}

void Programme::strike(Voice& voice) {
  const double note_hz = 110.0 * std::exp2(3.0 * random_.even());
  const double length_s = 0.15 + 0.6 * random_.even();
  const double decay_per_s = 2.0 + 6.0 * random_.even();
  voice.samples_left = static_cast<int>(length_s * sample_rate_hz_);
  for (std::size_t i = 0; i < kPartials; ++i) {
    const double order = static_cast<double>(i) + 1.0;
    const double turn = 2.0 * std::numbers::pi * order * note_hz / sample_rate_hz_;
    voice.values[i] = std::polar(0.08F / static_cast<float>(order),
                                 static_cast<float>(2.0 * std::numbers::pi * random_.even()));
    voice.steps[i] = std::complex<float>{
        std::exp(std::complex<double>{-decay_per_s * order / sample_rate_hz_, turn})};
  }
}

void Programme::next(std::span<float> samples) {
  constexpr float kBed = 0.003F;
  for (float& sample : samples) {
    sample = kBed * random_.bell();
    for (Voice& voice : voices_) {
      if (voice.samples_left-- <= 0) {
        strike(voice);
      }
      for (std::size_t i = 0; i < kPartials; ++i) {
        sample += voice.values[i].real();
        voice.values[i] *= voice.steps[i];
      }
    }
  }
}

}  // namespace brink::bench
