#include "desk/listen_proposals.h"

#include <doctest/doctest.h>

#include "cuts/band.h"
#include "cuts/target.h"
#include "desk/target_library.h"
#include "support/ring_event.h"

using namespace brink;
using show::EventKind;
using show::SessionEvent;
using tests::ring_event;

namespace {

/// Live rings, the target and the equaliser at hand.
struct Listening {
  show::LiveRings rings;
  cuts::Target target = desk::load_target("parametric");
  cuts::Setting equaliser;
  desk::ListenProposals proposals;

  void hear(const SessionEvent& event) {
    (void)rings.take(event);
    follow();
  }

  void follow() { proposals.follow(rings, target, equaliser); }

  void take(const char* name) {
    target = desk::load_target(name);
    follow();
  }

  [[nodiscard]] const show::Proposal* first() const { return proposals.find(rings.all()[0].id); }
};

}  // namespace

TEST_CASE("proposals follow the target: a graphic is cut at the bands beside the ring") {
  Listening it;
  // Half way (in ratio) between the third-octave centres 1000 and 1258.9 Hz.
  it.hear(ring_event(EventKind::kRinging, 1, 1122.0, 1.0));
  REQUIRE(it.first() != nullptr);
  CHECK(it.first()->cuts.size() == 1);
  CHECK(it.first()->cut().centre_hz == doctest::Approx(1122.0).epsilon(0.01));
  it.take("third-octave");
  REQUIRE(it.first()->kind != show::Proposal::Kind::kCannot);
  for (const cuts::Band& cut : it.first()->cuts) {
    CAPTURE(cut.centre_hz);
    CHECK((cut.centre_hz == doctest::Approx(1000.0).epsilon(1e-3) ||
           cut.centre_hz == doctest::Approx(1258.9).epsilon(1e-3)));
  }
}

TEST_CASE("another target for a ring that stands at the limiter is cut for as it grew") {
  Listening it;
  SessionEvent ringing = ring_event(EventKind::kRinging, 4, 2012.0, 1.0);
  ringing.ring.growth_db_per_s = 90.0;  // 2.7 dB over the brink at 30 ms, and 2 dB: two steps
  it.hear(ringing);
  detector::TrackView steady{};
  steady.ring_id = 4;
  steady.frequency_hz = 2012.0;
  steady.growth_db_per_s = 0.0;
  it.rings.follow(1, {&steady, 1});
  CHECK(it.rings.all()[0].now().growth_db_per_s == 0.0);
  it.follow();
  const auto before = *it.first();
  CHECK(before.cut().depth_db == -6.0);
  it.take("third-octave");
  it.take("parametric");
  CHECK(*it.first() == before);
}

TEST_CASE("a ring that only builds has no cut, and one whose cut is in is offered a deeper one") {
  Listening it;
  it.hear(ring_event(EventKind::kBuilding, 1, 500.0, 1.0));
  CHECK(it.first() == nullptr);
  it.hear(ring_event(EventKind::kRinging, 1, 500.0, 1.2));
  REQUIRE(it.first() != nullptr);
  const auto first = *it.first();
  CHECK(first.kind == show::Proposal::Kind::kAdds);
  it.equaliser = cuts::to_setting(first.cuts);
  it.follow();
  CHECK(it.first()->kind == show::Proposal::Kind::kDeepens);
  CHECK(it.first()->cut().depth_db < first.cut().depth_db);
  CHECK(it.first()->cut().depth_db >= -12.0);
}
