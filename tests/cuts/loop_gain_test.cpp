#include "cuts/loop_gain.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "base/units.h"

using namespace brink::cuts;

TEST_CASE("a pure delay crosses a whole turn once per reciprocal of the delay") {
  // Source: phase of a delay tau turns tau times per Hz: crossings 1/tau apart (common practice,
  // 98 Hz at 10.2 ms).
  std::vector<std::complex<double>> gain;
  for (int k = 1; k <= 4000; ++k) {
    gain.push_back(std::polar(0.5, -2.0 * std::numbers::pi * k * 0.5 * 0.0102));
  }
  const LoopGain loop{0.5, 0.5, gain};
  const auto crossings = find_crossings(loop, 1.0);
  REQUIRE(crossings.size() == 20);
  for (const Crossing& crossing : crossings) {
    // A chord of the unit circle over 1.8 degrees: a few millionths of a step off, and at most
    // 0.0011 dB low.
    CHECK(std::abs(std::remainder(crossing.frequency_hz, 1.0 / 0.0102)) < 1e-4);
    CHECK(std::abs(crossing.level_db + 6.0206) < 0.002);
  }
}

TEST_CASE(
    "the highest crossing is where the phase is a whole turn, not where the gain is highest") {
  // A gain that peaks at 1000 Hz, with a phase that is half a turn there: delay 10.5 ms gives 10.5
  // turns at 1000 Hz. Whole turns lie at 952.4 and 1047.6 Hz.
  std::vector<std::complex<double>> gain;
  for (int k = 1; k <= 4000; ++k) {
    const double f_hz = 0.5 * k;
    const double level = 1.0 / (1.0 + std::pow((f_hz - 1010.0) / 100.0, 2.0));
    gain.push_back(std::polar(level, -2.0 * std::numbers::pi * f_hz * 0.0105));
  }
  const Crossing highest = highest_crossing({0.5, 0.5, gain});
  CHECK(highest.frequency_hz == doctest::Approx(11.0 / 0.0105).epsilon(1e-5));
}

TEST_CASE("a loop whose phase is never a whole turn cannot ring") {
  const std::vector<std::complex<double>> gain(100, {-1.0, 0.1});
  CHECK(find_crossings({1.0, 1.0, gain}, 20.0).empty());
  CHECK(highest_crossing({1.0, 1.0, gain}).level_db == brink::base::kSilenceDb);
  CHECK(find_crossings({1.0, 1.0, {}}, 20.0).empty());
}
