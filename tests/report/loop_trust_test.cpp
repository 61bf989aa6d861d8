#include "report/loop_trust.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <string>

#include "base/error.h"

using namespace brink;

namespace {

/// Two arrivals, the later one 20 ms after the first at 5 ms and half as strong.
report::EvenGain two_arrivals(double step_hz, double sign = 1.0) {
  report::EvenGain even{.step_hz = step_hz, .gain = {}};
  for (double f_hz = step_hz; f_hz < 4000.0; f_hz += step_hz) {
    const double turn = -sign * 2.0 * std::numbers::pi * f_hz;
    even.gain.push_back(std::polar(1.0, 0.005 * turn) + std::polar(0.5, 0.025 * turn));
  }
  return even;
}

std::string complaint(const report::EvenGain& loop) {
  try {
    (void)report::check_trust(loop, "loop.csv");
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("points that follow a loop are trusted, points too far apart are not") {
  CHECK_FALSE(report::check_trust(two_arrivals(1.0), "loop.csv").has_value());
  CHECK(report::loop_trust(two_arrivals(1.0)).surprise < 0.01);
  CHECK(report::loop_trust(two_arrivals(1.0)).delay_s == doctest::Approx(0.009).epsilon(0.05));
  CHECK(complaint(two_arrivals(20.0)).find("steps of 20 Hz do not resolve this loop") !=
        std::string::npos);
}

TEST_CASE("a phase of the wrong sign shows in the group delay") {
  CHECK(complaint(two_arrivals(1.0, -1.0)).find("turn the phase's sign") != std::string::npos);
}

TEST_CASE("frequencies rounded to two decimals are an even grid") {
  std::string text;
  const double step_hz = 48000.0 / 524288.0;  // 0.0916
  for (int k = 1; k < 2000; ++k) {
    text += std::to_string(std::round(100.0 * k * step_hz) / 100.0).substr(0, 7) + ",0,0\n";
  }
  const report::EvenGain even = report::parse_loop_gain(text, "loop.csv");
  CHECK(even.step_hz == doctest::Approx(step_hz).epsilon(1e-4));
  CHECK(even.gain.size() == 1999);
}
