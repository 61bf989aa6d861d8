#include "taps/tap_history.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <complex>
#include <cstdint>
#include <limits>
#include <numbers>
#include <span>
#include <vector>

using brink::taps::TapHistory;

namespace {

constexpr double kRateHz = 8000.0;
constexpr double kToneHz = 437.0;
constexpr std::size_t kBlock = 1000;

/// Sample `n` of a tone that begins with phase `turns`, 0 to 1.
float tone(double amplitude, double turns, std::int64_t n) {
  const double phase = turns + kToneHz * static_cast<double>(n) / kRateHz;
  return static_cast<float>(amplitude * std::cos(2.0 * std::numbers::pi * phase));
}

/// Two taps: half a full-scale sine, and a tenth of it a quarter of a turn ahead.
void push_tones(TapHistory& history) {
  std::array<std::vector<float>, 2> taps{std::vector<float>(kBlock), std::vector<float>(kBlock)};
  for (std::size_t n = 0; n < kBlock; ++n) {
    const std::int64_t at = history.sample_count() + static_cast<std::int64_t>(n);
    taps[0][n] = tone(0.5, 0.0, at);
    taps[1][n] = tone(0.05, 0.25, at);
  }
  const std::array<std::span<const float>, 2> block{taps[0], taps[1]};
  history.push(block);
}

}  // namespace

TEST_CASE("a tone's amplitude and the phase between taps are told wherever the ring begins anew") {
  TapHistory history(kRateHz, 2, 0.5);
  std::array<std::complex<double>, 2> tones;
  for (int block = 0; block < 60; ++block) {
    push_tones(history);
    if (block < 3) {
      continue;
    }
    history.tones(kToneHz, history.sample_count(), 2999, tones);
    CHECK(std::abs(tones[0]) == doctest::Approx(0.5).epsilon(1e-3));
    CHECK(std::abs(tones[1]) == doctest::Approx(0.05).epsilon(1e-3));
    CHECK(std::arg(tones[1] / tones[0]) == doctest::Approx(std::numbers::pi / 2.0).epsilon(1e-3));
  }
}

TEST_CASE("what a history has forgotten, or has not heard yet, is silence") {
  TapHistory history(kRateHz, 2, 0.5);
  std::array<std::complex<double>, 2> tones;
  history.tones(kToneHz, 0, 3000, tones);
  CHECK(tones[0] == 0.0);
  push_tones(history);
  const std::array far{history.sample_count() + 3000, std::int64_t{-1}};
  for (const std::int64_t end : far) {
    history.tones(kToneHz, end, 3000, tones);
    CHECK(tones[0] == 0.0);
  }
  // The half of the window that was heard has half of the tone.
  history.tones(kToneHz, history.sample_count() + 1000, 2000, tones);
  CHECK(std::abs(tones[0]) == doctest::Approx(0.25).epsilon(0.01));
  history.push_silence(100'000);
  history.tones(kToneHz, 1000, 1000, tones);
  CHECK(tones[0] == 0.0);
}

TEST_CASE("a sample that is no number is silence on its tap") {
  TapHistory history(kRateHz, 2, 0.5);
  std::vector<float> broken(kBlock, std::numeric_limits<float>::quiet_NaN());
  broken[1] = std::numeric_limits<float>::infinity();
  const std::vector<float> steady(kBlock, 0.25F);
  const std::array<std::span<const float>, 2> block{broken, steady};
  history.push(block);
  std::array<std::complex<double>, 2> tones;
  history.tones(0.0, history.sample_count(), kBlock, tones);
  CHECK(tones[0] == 0.0);
  CHECK(tones[1].real() == doctest::Approx(0.5));  // a constant has one side only
}
