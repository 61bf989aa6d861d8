#include "listen/ring_alone.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <span>
#include <vector>

using namespace brink;
using namespace brink::listen;

namespace {

constexpr double kRateHz = 48000.0;

std::vector<float> tone(double frequency_hz, double amplitude, double length_s) {
  std::vector<float> samples(static_cast<std::size_t>(length_s * kRateHz));
  for (std::size_t i = 0; i < samples.size(); ++i) {
    samples[i] = static_cast<float>(amplitude * std::sin(2.0 * std::numbers::pi * frequency_hz *
                                                         static_cast<double>(i) / kRateHz));
  }
  return samples;
}

/// Level of what comes last, when a filter has settled; 0 dB is a sine of full scale.
double settled_db(std::span<const float> samples) {
  const auto last = samples.last(samples.size() / 2);
  double sum = 0.0;
  for (const float sample : last) {
    sum += static_cast<double>(sample) * static_cast<double>(sample);
  }
  return 10.0 * std::log10(2.0 * sum / static_cast<double>(last.size()));
}

}  // namespace

TEST_CASE("loudness is that of ITU-R BS.1770") {
  // The recommendation says that a 997 Hz sine of full scale in one front channel reads -3.01 LKFS.
  CHECK(*loudness_lufs(tone(997.0, 1.0, 5.0), kRateHz) == doctest::Approx(-3.01).epsilon(0.005));
  CHECK(*loudness_lufs(tone(997.0, 0.1, 5.0), kRateHz) == doctest::Approx(-23.01).epsilon(0.005));
  CHECK_FALSE(loudness_lufs(std::vector<float>(48000, 0.0F), kRateHz));
  CHECK_FALSE(loudness_lufs({}, kRateHz));
}

TEST_CASE("a ring stays as loud as it was in its band, and what lies beside it goes") {
  const double ring_hz = 2631.0;
  auto middle = tone(ring_hz, 0.5, 4.0);
  keep_band(middle, ring_hz, kRateHz);
  CHECK(settled_db(middle) == doctest::Approx(20.0 * std::log10(0.5)).epsilon(0.002));
  // Beside it: the second-order band-pass 1 / sqrt(1 + (Q (w - 1/w))^2), twice, at the frequencies
  // that the bilinear transform warps it to.
  const double q = ring_hz / (2.0 * half_width_hz(ring_hz));
  const auto expected_db = [&](double frequency_hz) {
    const auto warped = [](double hz) { return std::tan(std::numbers::pi * hz / kRateHz); };
    const double ratio = warped(frequency_hz) / warped(ring_hz);
    return -20.0 * std::log10(1.0 + std::pow(q * (ratio - 1.0 / ratio), 2.0));
  };
  CHECK(expected_db(ring_hz + half_width_hz(ring_hz)) == doctest::Approx(-6.0).epsilon(0.05));
  for (const double away_hz : {ring_hz + half_width_hz(ring_hz), 0.9 * ring_hz, 2.0 * ring_hz}) {
    auto beside = tone(away_hz, 0.5, 4.0);
    keep_band(beside, ring_hz, kRateHz);
    CHECK(std::abs(settled_db(beside) - 20.0 * std::log10(0.5) - expected_db(away_hz)) < 0.05);
  }
}

TEST_CASE("a ring alone and the whole have one loudness, and no sample exceeds full scale") {
  std::mt19937 random(17);
  std::normal_distribution<float> noise(0.0F, 0.1F);
  for (const double ring : {0.001, 0.05, 0.5}) {
    auto whole = tone(1500.0, ring, 8.0);
    for (float& sample : whole) {
      sample += noise(random);
    }
    const RingAndWhole pair = at_one_loudness(whole, 1500.0, kRateHz);
    REQUIRE(pair.loudness_lufs);
    CHECK(*loudness_lufs(pair.alone, kRateHz) ==
          doctest::Approx(*pair.loudness_lufs).epsilon(0.002));
    CHECK(*loudness_lufs(pair.whole, kRateHz) ==
          doctest::Approx(*pair.loudness_lufs).epsilon(0.002));
    for (const float sample : pair.alone) {
      REQUIRE(std::abs(sample) <= 1.0001F);
    }
    CHECK(pair.whole_gain_db <= 0.0);
  }
  const RingAndWhole silent = at_one_loudness(std::vector<float>(96000, 0.0F), 1500.0, kRateHz);
  CHECK_FALSE(silent.loudness_lufs);
  CHECK(silent.alone_gain_db == 0.0);
}
