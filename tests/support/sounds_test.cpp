#include "support/sounds.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace brink::tests;

namespace {

/// Level of the sine at `frequency_hz` in a stretch, by correlation with that sine, which is the
/// definition.
double level_dbfs(const std::vector<float>& samples,
                  double rate_hz,
                  double from_s,
                  double frequency_hz) {
  const auto first = static_cast<std::size_t>(from_s * rate_hz);
  const auto length = static_cast<std::size_t>(0.05 * rate_hz);
  double re = 0.0;
  double im = 0.0;
  for (std::size_t i = first; i < first + length; ++i) {
    const double phase = 2.0 * std::numbers::pi * frequency_hz * static_cast<double>(i) / rate_hz;
    re += static_cast<double>(samples[i]) * std::cos(phase);
    im += static_cast<double>(samples[i]) * std::sin(phase);
  }
  return 20.0 * std::log10(2.0 * std::hypot(re, im) / static_cast<double>(length));
}

}  // namespace

TEST_CASE("the ring sound grows, holds and decays as its numbers say") {
  RingSound sound;
  sound.noise_dbfs = -120.0;
  const auto samples = sound.samples();
  REQUIRE(samples.size() == 288000);
  const auto at = [&](double t) { return level_dbfs(samples, 48000.0, t, 1000.0); };
  // A stretch of 50 ms at 40 dB/s spans 2 dB. So it reads the level of its middle, 1 dB later,
  // within 0.1 dB.
  CHECK(at(1.5) == doctest::Approx(-59.0).epsilon(0.1 / 59.0));
  CHECK(at(2.0) == doctest::Approx(-39.0).epsilon(0.1 / 39.0));
  CHECK(at(3.5) == doctest::Approx(-9.0).epsilon(0.01 / 9.0));
  // Falls by 60 dB/s for half a second after the cut, and is read 25 ms later.
  CHECK(at(5.0) == doctest::Approx(-40.5).epsilon(0.2 / 40.5));
}

TEST_CASE("white noise has the level asked for and repeats with its seed") {
  const auto noise = white_noise(1.0, 48000.0, -20.0, 3);
  double power = 0.0;
  for (const float sample : noise) {
    power += static_cast<double>(sample) * static_cast<double>(sample);
  }
  // The power of n uniform samples has an error of sqrt(4/5 / n): 0.4 % or 0.018 dB. Five times
  // that is allowed.
  CHECK(10.0 * std::log10(power / 48000.0) == doctest::Approx(-20.0).epsilon(0.09 / 20.0));
  CHECK(noise == white_noise(1.0, 48000.0, -20.0, 3));
  CHECK(noise != white_noise(1.0, 48000.0, -20.0, 4));
}
