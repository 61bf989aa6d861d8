#include "show/live_rings.h"

#include <doctest/doctest.h>

#include "support/ring_event.h"

using namespace brink;
using show::EventKind;
using show::LiveRing;
using show::LiveRings;
using show::SessionEvent;
using tests::ring_event;

TEST_CASE("what is certain stands above what builds, and that above what fades") {
  LiveRings rings;
  rings.take(ring_event(EventKind::kBuilding, 1, 500.0, 1.0));
  rings.take(ring_event(EventKind::kFading, 2, 900.0, 1.1));
  rings.take(ring_event(EventKind::kRinging, 3, 2000.0, 1.2));
  const auto shown = rings.shown(1.3);
  REQUIRE(shown.size() == 3);
  CHECK(shown[0]->ring.id == 3);
  CHECK(shown[1]->ring.id == 1);
  CHECK(shown[2]->ring.id == 2);
}

TEST_CASE("a suspicion that came to nothing leaves no row, a ring stays a while after it is gone") {
  LiveRings rings;
  rings.take(ring_event(EventKind::kBuilding, 1, 500.0, 1.0));
  SessionEvent gone = ring_event(EventKind::kBuilding, 1, 500.0, 1.5);
  gone.kind = EventKind::kGone;
  rings.take(gone);
  CHECK(rings.all().empty());

  rings.take(ring_event(EventKind::kRinging, 2, 900.0, 2.0));
  rings.take(ring_event(EventKind::kGone, 2, 900.0, 3.0));
  const auto shown = rings.shown(3.0 + LiveRings::kShownS - 0.1);
  REQUIRE(shown.size() == 1);
  CHECK(shown[0]->ring.state == detector::RingState::kGone);
  CHECK(rings.shown(3.0 + LiveRings::kShownS + 0.1).empty());
}

TEST_CASE("level and growth of a ring that sounds follow its track, what is known of it does not") {
  LiveRings rings;
  rings.take(ring_event(EventKind::kRinging, 4, 2012.0, 1.0));
  detector::TrackView track{};
  track.ring_id = 4;
  track.growth_db_per_s = -3.0;
  track.level_dbfs = -9.0;
  rings.follow(2, {&track, 1});
  CHECK(rings.all()[0].now().growth_db_per_s == 40.0);  // that is another tap's
  rings.follow(1, {&track, 1});
  CHECK(rings.all()[0].now().growth_db_per_s == -3.0);
  CHECK(rings.all()[0].now().level_dbfs == -9.0);
  CHECK(rings.all()[0].ring.growth_db_per_s == 40.0);
}

TEST_CASE("a detector's numbers begin anew with another source, a ring of the old one is over") {
  LiveRings rings;
  rings.take(ring_event(EventKind::kRinging, 1, 700.0, 5.0));
  const std::uint64_t old = rings.all()[0].id;
  rings.begin_session();
  CHECK(rings.shown(0.0).empty());
  REQUIRE(rings.find(old) != nullptr);
  CHECK(!rings.find(old)->is_sounding());
  const auto change = rings.take(ring_event(EventKind::kRinging, 1, 900.0, 0.5));
  CHECK(change.id != old);
  const LiveRing* now = rings.find_number(1);
  REQUIRE(now != nullptr);
  CHECK(now->ring.frequency_hz == 900.0);
}

TEST_CASE("of the rings that are over the newest stay known") {
  LiveRings rings;
  for (std::uint32_t id = 1; id <= LiveRings::kMostOver + 3; ++id) {
    rings.take(ring_event(EventKind::kRinging, id, 100.0 * id, id));
    rings.take(ring_event(EventKind::kGone, id, 100.0 * id, id + 0.5));
  }
  CHECK(rings.all().size() == LiveRings::kMostOver);
  CHECK(rings.all().front().ring.id == 4);
}
