#include "show/merge_rings.h"

#include <doctest/doctest.h>

using namespace brink;
using detector::RingState;

namespace {

detector::Ring ring(
    std::uint32_t id, RingState state, double frequency_hz, double sd_hz, double growth) {
  detector::Ring ring;
  ring.id = id;
  ring.state = state;
  ring.frequency_hz = frequency_hz;
  ring.frequency_sd_hz = sd_hz;
  ring.growth_db_per_s = growth;
  ring.peak_dbfs = -40.0;
  return ring;
}

}  // namespace

TEST_CASE("a ring keeps what was measured up to its height") {
  show::RingList list(false);
  list.on_event({100, ring(1, RingState::kBuilding, 1000.0, 2.0, 20.0)});
  detector::Ring certain = ring(1, RingState::kRinging, 1001.0, 0.1, 30.0);
  certain.flagged_sample = 200;
  certain.confidence = 0.97;
  certain.peak_dbfs = -20.0;
  list.on_event({200, certain});
  detector::Ring fading =
      certain;  // it went on growing, then began to fall: the height is in between
  fading.state = RingState::kFading;
  fading.growth_db_per_s = -60.0;
  fading.frequency_hz = 1001.5;
  fading.frequency_sd_hz = 0.01;
  fading.peak_dbfs = -6.0;
  list.on_event({300, fading});
  detector::Ring again = fading;  // a flicker on the way down
  again.state = RingState::kRinging;
  again.frequency_hz = 1004.0;
  again.frequency_sd_hz = 0.001;
  list.on_event({350, again});
  detector::Ring gone = again;
  gone.state = RingState::kGone;
  gone.frequency_hz = 990.0;
  gone.growth_db_per_s = 30.0;  // a ring that is gone tells its growth again
  gone.ended_sample = 400;
  list.on_event({400, gone});

  REQUIRE(list.rings().size() == 1);
  const detector::Ring kept = list.rings().front();
  CHECK(kept.frequency_hz == 1001.5);
  CHECK(kept.frequency_sd_hz == 0.01);
  CHECK(kept.growth_db_per_s == 30.0);
  CHECK(kept.peak_dbfs == -6.0);
  CHECK(kept.confidence == 0.97);
  CHECK(kept.flagged_sample == 200);
  CHECK(kept.ended_sample == 400);
  CHECK(kept.state == RingState::kRinging);
}

TEST_CASE("what never was certain is forgotten unless asked for") {
  for (const bool keeps : {false, true}) {
    show::RingList list(keeps);
    for (std::uint32_t id = 1; id <= 1000; ++id) {
      list.on_event({id, ring(id, RingState::kBuilding, 500.0, 1.0, 10.0)});
      list.on_event({id, ring(id, RingState::kGone, 500.0, 1.0, 10.0)});
    }
    CHECK(list.rings().size() == (keeps ? 1000 : 0));
    if (keeps) {
      CHECK(list.rings().back().state == RingState::kBuilding);
      CHECK_FALSE(show::was_certain(list.rings().back()));
    }
  }
}

TEST_CASE("what still sounds is listed, if it is certain") {
  show::RingList list(false);
  detector::Ring certain = ring(2, RingState::kRinging, 700.0, 1.0, 10.0);
  certain.flagged_sample = 5;
  list.on_event({4, ring(1, RingState::kBuilding, 500.0, 1.0, 10.0)});
  list.on_event({5, certain});
  REQUIRE(list.rings().size() == 1);
  CHECK(list.rings()[0].id == 2);
  CHECK(list.rings()[0].ended_sample == detector::kNever);
}

TEST_CASE("rings that overlap in time stay apart") {
  show::RingList list(false);
  for (const auto state : {RingState::kBuilding, RingState::kRinging, RingState::kGone}) {
    for (std::uint32_t id = 1; id <= 3; ++id) {
      detector::Ring one = ring(id, state, 100.0 * id, 1.0, 10.0 * id);
      one.flagged_sample = state == RingState::kBuilding ? detector::kNever : 50;
      list.on_event({static_cast<std::int64_t>(id), one});
    }
  }
  const auto rings = list.rings();
  REQUIRE(rings.size() == 3);
  for (std::uint32_t id = 1; id <= 3; ++id) {
    CHECK(rings[id - 1].id == id);
    CHECK(rings[id - 1].frequency_hz == 100.0 * id);
    CHECK(rings[id - 1].growth_db_per_s == 10.0 * id);
  }
}
