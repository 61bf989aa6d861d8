#include "ear/live_ear.h"

#include <doctest/doctest.h>

#include "base/error.h"

using namespace brink;
using namespace brink::ear;
using namespace brink::show;
using Phase = LiveEar::Phase;
using Reason = LiveEar::Reason;

namespace {

const std::chrono::system_clock::time_point kWall{std::chrono::seconds(1795000000)};

SessionEvent event(EventKind kind, std::uint32_t id, double hz, double sd_hz = 0.1, int tap = 1) {
  SessionEvent event;
  event.kind = kind;
  event.tap = tap;
  event.ring.id = id;
  event.ring.frequency_hz = hz;
  event.ring.frequency_sd_hz = sd_hz;
  event.ring.growth_db_per_s = 40.0;
  event.ring.state = kind == EventKind::kBuilding  ? detector::RingState::kBuilding
                     : kind == EventKind::kRinging ? detector::RingState::kRinging
                                                   : detector::RingState::kFading;
  return event;
}

struct Practice {
  LiveRings rings;
  std::vector<show::GuessRecord> kept;
  LiveEar ear{"Ada", *cuts::find_target("third-octave"), [this](const show::GuessRecord& record) {
                kept.push_back(record);
              }};

  Practice() { ear.set_blind(true); }

  void hear(const SessionEvent& event, double now_s) {
    (void)rings.take(event);
    ear.follow(rings, now_s);
  }

  auto lock(double now_s) { return ear.lock(rings, now_s, kWall); }
};

}  // namespace

TEST_CASE("a flagged ring opens a round, and the guess is scored against its peak") {
  Practice practice;
  LiveEar& ear = practice.ear;
  CHECK(!practice.lock(0.0).has_value());
  practice.hear(event(EventKind::kBuilding, 1, 2500.0), 1.0);
  CHECK(ear.phase() == Phase::kWaiting);
  practice.hear(event(EventKind::kRinging, 1, 2500.0), 2.0);
  CHECK(ear.phase() == Phase::kSounding);
  SessionEvent louder = event(EventKind::kRinging, 1, 2510.0);  // better known at its height
  louder.ring.peak_dbfs = 6.0;
  practice.hear(louder, 2.5);
  practice.hear(event(EventKind::kFading, 1, 2490.0), 3.0);  // and still there
  ear.ruler().place(2600.0);
  const auto result = practice.lock(5.5);
  REQUIRE(result.has_value());
  CHECK(ear.phase() == Phase::kScored);
  REQUIRE(practice.kept.size() == 1);
  CHECK(practice.kept[0].exercise == "live");
  CHECK(practice.kept[0].seed == 0);
  CHECK(practice.kept[0].true_hz == 2510.0);
  CHECK(practice.kept[0].took_s == doctest::Approx(3.5));
  CHECK(result->truth.excess_db == doctest::Approx(1.2));  // 40 dB/s in 30 ms
  ear.next(6.0);
  CHECK(ear.phase() == Phase::kWaiting);  // its answer is known
  practice.hear(event(EventKind::kRinging, 2, 800.0), 7.0);
  CHECK(ear.phase() == Phase::kSounding);
}

TEST_CASE("a ring that goes before the lock is unscored, never wrong") {
  Practice practice;
  practice.hear(event(EventKind::kRinging, 1, 2500.0), 2.0);
  practice.hear(event(EventKind::kGone, 1, 2500.0), 3.0);
  CHECK(practice.ear.phase() == Phase::kUnscored);
  CHECK(practice.ear.why() == Reason::kGone);
  CHECK(!practice.lock(4.0).has_value());
  practice.ear.next(5.0);
  practice.hear(event(EventKind::kRinging, 2, 2500.0), 6.0);
  practice.rings.end_all();  // the input is lost
  practice.ear.follow(practice.rings, 7.0);
  CHECK(practice.ear.phase() == Phase::kUnscored);
  CHECK(practice.kept.empty());
}

TEST_CASE("a ring without a sure frequency is unscored") {
  CHECK(has_sure_frequency(event(EventKind::kRinging, 1, 1000.0, 1.9).ring));  // a third of 6 Hz
  CHECK(!has_sure_frequency(event(EventKind::kRinging, 1, 1000.0, 2.1).ring));
  CHECK(has_sure_frequency(event(EventKind::kRinging, 1, 200.0, 0.9).ring));
  CHECK(!has_sure_frequency(event(EventKind::kRinging, 1, 200.0, 1.2).ring));
  Practice practice;
  practice.hear(event(EventKind::kRinging, 1, 1000.0, 5.0), 2.0);
  CHECK(!practice.lock(4.0).has_value());
  CHECK(practice.ear.phase() == Phase::kUnscored);
  CHECK(practice.ear.why() == Reason::kUnsure);
  CHECK(practice.kept.empty());
}

TEST_CASE("of several rings the nearest sure one counts, and the others stay for the next round") {
  Practice practice;
  LiveEar& ear = practice.ear;
  practice.hear(event(EventKind::kRinging, 1, 500.0), 1.0);
  practice.hear(event(EventKind::kRinging, 3, 4000.0, 0.1, 2), 1.5);  // of another tap
  practice.hear(event(EventKind::kRinging, 2, 3500.0, 50.0), 1.6);  // nearer, and unsure
  ear.ruler().place(3400.0);
  const auto result = practice.lock(2.0);
  REQUIRE(result.has_value());
  CHECK(result->record.true_hz == 4000.0);
  ear.next(3.0);
  CHECK(ear.phase() == Phase::kSounding);
  ear.ruler().place(500.0);
  const auto second = practice.lock(4.0);
  REQUIRE(second.has_value());
  CHECK(second->record.true_hz == 500.0);
  CHECK(second->record.took_s == doctest::Approx(1.0));
}

TEST_CASE("showing the frequencies spoils the round and no later one") {
  Practice practice;
  LiveEar& ear = practice.ear;
  practice.hear(event(EventKind::kRinging, 1, 500.0), 1.0);
  ear.set_blind(false);
  CHECK(ear.phase() == Phase::kUnscored);
  CHECK(ear.why() == Reason::kSeen);
  practice.hear(event(EventKind::kRinging, 2, 900.0), 1.5);
  ear.set_blind(true);
  ear.next(2.0);
  CHECK(ear.phase() == Phase::kWaiting);  // both were shown
  practice.hear(event(EventKind::kRinging, 3, 700.0), 2.0);
  CHECK(ear.phase() == Phase::kSounding);
}

TEST_CASE("nobody, or no equaliser, is refused") {
  CHECK_THROWS_AS(LiveEar("", *cuts::find_target("octave"), {}), base::Error);
  CHECK_THROWS_AS(LiveEar("Ada", {}, {}), base::Error);
}

TEST_CASE("the trainee and the equaliser can change between rounds") {
  Practice practice;
  LiveEar& ear = practice.ear;
  CHECK_THROWS_AS(ear.set_trainee(""), base::Error);
  CHECK_THROWS_AS(ear.set_target({}), base::Error);
  ear.set_trainee("Ben");
  ear.set_target(*cuts::find_target("parametric"));
  practice.hear(event(EventKind::kRinging, 1, 2500.0), 2.0);
  ear.ruler().place(2530.0);
  const auto result = practice.lock(3.0);
  REQUIRE(result.has_value());
  CHECK(practice.kept.at(0).trainee == "Ben");
  // A third-octave graphic could not be set off the centres of its bands, 2512 Hz here.
  CHECK(std::abs(result->score.cut.centre_hz - 2512.0) > 5.0);
}
