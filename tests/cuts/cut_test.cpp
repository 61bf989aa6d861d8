#include "cuts/cut.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>

using namespace brink::cuts;

TEST_CASE("the analogue level equals the digital one at a high sample rate") {
  // The bilinear transform tends to the identity as the sample rate grows: at 1000 times the
  // centre its bend is (pi/1000)^2 / 3 = 3e-6 of the frequency, under 1e-3 dB on any of these.
  for (const Cut cut : {Cut{1000.0, 8.0, -6.0}, Cut{1000.0, 30.0, -12.0}, Cut{1000.0, 0.7, -3.0}}) {
    for (const double f_hz : {100.0, 900.0, 990.0, 1000.0, 1010.0, 1300.0, 9000.0}) {
      CAPTURE(f_hz);
      const double digital_db = 20.0 * std::log10(std::abs(response(cut, f_hz, 1e6)));
      CHECK(std::abs(level_db(cut, f_hz) - digital_db) < 1e-3);
    }
  }
}

TEST_CASE("a cut is its depth deep at its centre and half of it at the edges of its bandwidth") {
  // Source: Audio EQ Cookbook, meaning of the bandwidth of a peaking filter; 1/3 octave is
  // Q 4.3185.
  const Cut cut{1000.0, 4.3185, -6.0};
  CHECK(level_db(cut, 1000.0) == doctest::Approx(-6.0).epsilon(1e-12));
  CHECK(level_db(cut, 1000.0 * std::exp2(1.0 / 6.0)) == doctest::Approx(-3.0).epsilon(1e-4));
  CHECK(level_db(cut, 1000.0 * std::exp2(-1.0 / 6.0)) == doctest::Approx(-3.0).epsilon(1e-4));
}
