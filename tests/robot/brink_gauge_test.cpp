#include "robot/brink_gauge.h"

#include <doctest/doctest.h>

#include <array>

using namespace brink;

namespace {

/// A ring of that delay and brink, as it moves with the fader somewhere: growth is the excess gain
/// over the delay (docs/method.md).
robot::RisingRing ring_at(std::uint32_t id, double brink_db, double delay_s, double fader_db) {
  robot::RisingRing rising;
  rising.ring.id = id;
  rising.ring.frequency_hz = 500.0 * id;
  rising.ring.flagged_sample = 1;
  rising.ring.confidence = 0.9;
  rising.growth_db_per_s = (fader_db - brink_db) / delay_s;
  return rising;
}

}  // namespace

TEST_CASE("growth up and decay down tell where a ring's brink lies") {
  robot::BrinkGauge gauge;
  const std::array high{ring_at(1, -1.0, 0.02, 0.5), ring_at(2, -1.3, 0.09, 0.5)};
  const std::array low{ring_at(1, -1.0, 0.02, -2.5), ring_at(2, -1.3, 0.09, -2.5)};
  const auto places = gauge.read(high, 0.5, low, -2.5);
  REQUIRE(places.size() == 2);
  CHECK(places[0].frequency_hz == 1000.0);  // its brink is lower
  CHECK(places[0].brink_db == doctest::Approx(-1.3));
  CHECK(places[1].brink_db == doctest::Approx(-1.0));
}

TEST_CASE("a ring lost on the way down takes the delay of the others") {
  robot::BrinkGauge gauge;
  const std::array high{ring_at(1, -1.0, 0.05, 0.0), ring_at(2, -2.0, 0.05, 0.0)};
  const std::array low{ring_at(1, -1.0, 0.05, -3.0)};
  const auto places = gauge.read(high, 0.0, low, -3.0);
  REQUIRE(places.size() == 2);
  CHECK(places[0].brink_db == doctest::Approx(-2.0));
}

TEST_CASE("a ring that is kept down at the higher place counts with the growth that it had") {
  robot::BrinkGauge gauge;
  std::array high{ring_at(1, -1.0, 0.05, 0.0), ring_at(2, -2.0, 0.05, 0.0)};
  high[1].ring.growth_db_per_s = high[1].growth_db_per_s;
  high[1].growth_db_per_s = -3.0;  // the louder one has the limiter
  const std::array low{ring_at(1, -1.0, 0.05, -3.0)};
  const auto places = gauge.read(high, 0.0, low, -3.0);
  REQUIRE(places.size() == 2);
  CHECK(places[0].frequency_hz == 1000.0);
  CHECK(places[0].brink_db == doctest::Approx(-2.0));
  CHECK(places[0].delay_s == doctest::Approx(0.05));
}

TEST_CASE("what is unlikely, or was heard twice, is no place of its own") {
  robot::BrinkGauge gauge;
  std::array high{ring_at(1, -1.0, 0.05, 0.0), ring_at(2, -2.0, 0.05, 0.0), ring_at(3, 0, 0.05, 1)};
  high[1].ring.frequency_hz = high[0].ring.frequency_hz + 0.5;
  high[2].ring.flagged_sample = detector::kNever;
  high[2].ring.confidence = 0.2;  // what counts begins at 0.3: see brink_gauge.cpp
  CHECK(gauge.read(high, 0.0, {}, -3.0).size() == 1);
  high[2].ring.confidence = 0.4;
  CHECK(gauge.read(high, 0.0, {}, -3.0).size() == 2);
}
