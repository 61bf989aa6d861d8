#include "desk/live_rings.h"

#include <doctest/doctest.h>

#include "cuts/target.h"
#include "desk/target_library.h"
#include "show/cut_record.h"
#include "show/kept_target.h"

using namespace brink;
using desk::LiveRings;
using show::EventKind;
using show::SessionEvent;

namespace {

constexpr double kRateHz = 48000.0;

SessionEvent event(EventKind kind, std::uint32_t id, double frequency_hz, double stream_s) {
  SessionEvent made;
  made.kind = kind;
  made.tap = 1;
  made.stream_s = stream_s;
  made.sample_rate_hz = kRateHz;
  made.ring.id = id;
  made.ring.frequency_hz = frequency_hz;
  made.ring.growth_db_per_s = 40.0;
  made.ring.state = kind == EventKind::kRinging  ? detector::RingState::kRinging
                    : kind == EventKind::kFading ? detector::RingState::kFading
                                                 : detector::RingState::kBuilding;
  if (kind != EventKind::kBuilding) {
    made.ring.flagged_sample = static_cast<std::int64_t>(stream_s * kRateHz);
  }
  return made;
}

listen::Snapshot at(double stream_s) {
  listen::Snapshot snapshot;
  snapshot.samples = static_cast<std::int64_t>(stream_s * kRateHz);
  snapshot.taps.resize(1);
  return snapshot;
}

}  // namespace

TEST_CASE("what is certain stands above what builds, and that above what fades") {
  LiveRings board(desk::load_target("parametric"));
  board.take(event(EventKind::kBuilding, 1, 500.0, 1.0));
  board.take(event(EventKind::kFading, 2, 900.0, 1.1));
  board.take(event(EventKind::kRinging, 3, 2000.0, 1.2));
  REQUIRE(board.rows().size() == 3);
  CHECK(board.rows()[0].ring.id == 3);
  CHECK(board.rows()[1].ring.id == 1);
  CHECK(board.rows()[2].ring.id == 2);
}

TEST_CASE("a suspicion that came to nothing leaves no row, a ring stays a while after it is gone") {
  LiveRings board(desk::load_target("parametric"));
  board.take(event(EventKind::kBuilding, 1, 500.0, 1.0));
  SessionEvent gone = event(EventKind::kBuilding, 1, 500.0, 1.5);
  gone.kind = EventKind::kGone;
  board.take(gone);
  CHECK(board.rows().empty());

  board.take(event(EventKind::kRinging, 2, 900.0, 2.0));
  board.take(event(EventKind::kGone, 2, 900.0, 3.0));
  board.follow(at(3.0 + LiveRings::kKeptS - 0.1), kRateHz);
  REQUIRE(board.rows().size() == 1);
  CHECK(board.rows()[0].ring.state == detector::RingState::kGone);
  board.follow(at(3.0 + LiveRings::kKeptS + 0.1), kRateHz);
  CHECK(board.rows().empty());
}

TEST_CASE("proposals follow the target: a graphic is cut at the bands beside the ring") {
  LiveRings board(desk::load_target("parametric"));
  // Half way (in ratio) between the third-octave centres 1000 and 1258.9 Hz.
  board.take(event(EventKind::kRinging, 1, 1122.0, 1.0));
  REQUIRE(board.rows()[0].proposal.has_value());
  CHECK(board.rows()[0].proposal->cuts.size() == 1);
  CHECK(board.rows()[0].proposal->cut().centre_hz == doctest::Approx(1122.0).epsilon(0.01));
  board.set_target(desk::load_target("third-octave"));
  REQUIRE(board.rows()[0].proposal->kind != show::Proposal::Kind::kCannot);
  for (const show::CutRecord& cut : board.rows()[0].proposal->cuts) {
    CAPTURE(cut.centre_hz);
    CHECK((cut.centre_hz == doctest::Approx(1000.0).epsilon(1e-3) ||
           cut.centre_hz == doctest::Approx(1258.9).epsilon(1e-3)));
  }
}

TEST_CASE("another target for a ring that stands at the limiter is cut for as it grew") {
  LiveRings board(desk::load_target("parametric"));
  SessionEvent ringing = event(EventKind::kRinging, 4, 2012.0, 1.0);
  ringing.ring.growth_db_per_s = 90.0;  // 2.7 dB over the brink at 30 ms, and 2 dB: two steps
  board.take(ringing);
  listen::Snapshot steady = at(9.0);
  steady.taps[0].tap = 1;
  detector::TrackView& track = steady.taps[0].tracks.emplace_back();
  track.ring_id = 4;
  track.frequency_hz = 2012.0;
  track.growth_db_per_s = 0.0;
  board.follow(steady, kRateHz);
  CHECK(board.rows()[0].ring.growth_db_per_s == 0.0);
  const auto before = *board.rows()[0].proposal;
  CHECK(before.cut().depth_db == -6.0);
  board.set_target(desk::load_target("third-octave"));
  board.set_target(desk::load_target("parametric"));
  CHECK(board.rows()[0].proposal == before);
}

TEST_CASE("a ring that only builds has no cut, and one whose cut is in is offered a deeper one") {
  LiveRings board(desk::load_target("parametric"));
  board.take(event(EventKind::kBuilding, 1, 500.0, 1.0));
  CHECK_FALSE(board.rows()[0].proposal.has_value());
  board.take(event(EventKind::kRinging, 1, 500.0, 1.2));
  REQUIRE(board.rows()[0].proposal.has_value());
  const auto first = *board.rows()[0].proposal;
  CHECK(first.kind == show::Proposal::Kind::kAdds);
  board.set_equaliser(show::to_setting(first.cuts));
  CHECK(board.rows()[0].proposal->kind == show::Proposal::Kind::kDeepens);
  CHECK(board.rows()[0].proposal->cut().depth_db < first.cut().depth_db);
  CHECK(board.rows()[0].proposal->cut().depth_db >= -12.0);
}
