#include "cuts/link/scale.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace brink::cuts;

TEST_CASE("a linear scale goes evenly, in either direction") {
  const Scale rising(Scale::Kind::kLinear, false, {{0.0, -60.0}, {1.0, 10.0}});
  CHECK(*rising.value_of(0.0) == -60.0);
  CHECK(*rising.value_of(0.5) == doctest::Approx(-25.0));
  CHECK(rising.number_of(10.0) == 1.0);
  CHECK(rising.number_of(-25.0) == 0.5);
  const Scale falling(Scale::Kind::kLinear, false, {{0.0, 0.0}, {30.0, -15.0}});
  CHECK(*falling.value_of(10.0) == doctest::Approx(-5.0));
  CHECK(falling.number_of(-7.5) == 15.0);
}

TEST_CASE("a logarithmic scale has equal ratios for equal steps") {
  // 20 Hz to 20 kHz are three decades: a third of the way is 200 Hz.
  const Scale scale(Scale::Kind::kLogarithmic, false, {{0.0, 20.0}, {3.0, 20000.0}});
  CHECK(*scale.value_of(1.0) == doctest::Approx(200.0));
  CHECK(scale.number_of(2000.0) == doctest::Approx(2.0));
}

TEST_CASE("a table is straight between its points") {
  const Scale scale(
      Scale::Kind::kTable, false, {{0.0, -90.0}, {0.25, -30.0}, {0.5, -10.0}, {1.0, 10.0}});
  CHECK(*scale.value_of(0.125) == doctest::Approx(-60.0));
  CHECK(*scale.value_of(0.75) == doctest::Approx(0.0));
  CHECK(scale.number_of(-20.0) == doctest::Approx(0.375));
  CHECK(scale.number_of(-10.0) == 0.5);
}

TEST_CASE("whole numbers are those whose value is nearest") {
  const Scale scale(Scale::Kind::kLinear, true, {{0.0, -15.0}, {127.0, 15.0}});
  // 0 dB would be 63.5: 63 is -0.118 dB, 64 is +0.118 dB. -6 dB would be 38.1.
  CHECK(scale.number_of(-6.0) == 38.0);
  CHECK(scale.number_of(-15.0) == 0.0);
  CHECK(scale.number_of(99.0) == 127.0);
  CHECK(scale.step_towards(38.0, 20.0) == 37.0);
  CHECK(scale.step_towards(38.0, 40.0) == 39.0);
  CHECK(scale.step_towards(38.0, 38.0) == 38.0);
}

TEST_CASE("a number that the scale does not have is none") {
  const Scale scale(Scale::Kind::kLinear, false, {{0.0, -60.0}, {1.0, 10.0}});
  for (const double number : {-0.1,
                              1.1,
                              1e30,
                              std::numeric_limits<double>::quiet_NaN(),
                              std::numeric_limits<double>::infinity()}) {
    CHECK(!scale.value_of(number));
  }
  // A rounding of 32 bits beyond the end is the end.
  CHECK(*scale.value_of(1.0 + 6e-8) == 10.0);
}
