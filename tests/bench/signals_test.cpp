#include "bench/signals.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using brink::bench::Random;
using brink::bench::render;

TEST_CASE("bell-shaped numbers have mean 0, variance 1, and are white and the same everywhere") {
  Random random{1};
  constexpr int kCount = 200000;
  double sum = 0.0;
  double squares = 0.0;
  double products = 0.0;
  double last = 0.0;
  for (int i = 0; i < kCount; ++i) {
    const auto value = static_cast<double>(random.bell());
    sum += value;
    squares += value * value;
    products += value * last;
    last = value;
  }
  // Five standard deviations of each estimate: 5 / sqrt(200000) = 0.011. For the variance it is
  // less than sqrt(2) times that.
  CHECK(std::abs(sum / kCount) < 0.0112);
  CHECK(std::abs(squares / kCount - 1.0) < 0.0159);
  CHECK(std::abs(products / kCount) < 0.0112);
  // C++ standard, [rand.predef]: the 10000th draw of a default mt19937_64 is this number.
  std::mt19937_64 engine;
  engine.discard(9999);
  CHECK(engine() == 9981545732273789042ULL);
}

TEST_CASE("a rendered tone is the closed form, sample by sample") {
  Random random{1};
  std::vector<float> samples(5000);
  render({.sample_rate_hz = 48000.0,
          .frequency_hz = 997.0,
          .phase_rad = 0.4,
          .amplitude = 0.01,
          .growth_db_per_s = 100.0,
          .noise_rms = 0.0},
         random,
         samples);
  for (std::size_t n = 0; n < samples.size(); n += 37) {
    const double time_s = static_cast<double>(n) / 48000.0;
    const double amplitude = 0.01 * std::pow(10.0, 100.0 * time_s / 20.0);
    const double expected = amplitude * std::cos(2.0 * std::numbers::pi * 997.0 * time_s + 0.4);
    CHECK(std::abs(static_cast<double>(samples[n]) - expected) < 1e-7);  // single precision of 0.1
  }
}
