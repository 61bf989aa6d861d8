#include "show/ring_out/ring_out.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <random>

#include "base/error.h"
#include "base/units.h"
#include "cuts/band.h"
#include "show/kept_target.h"
#include "support/heard.h"

using namespace brink;
using show::Advice;
using show::EventKind;
using show::Phase;
using show::RingOut;
using show::RoundCheck;
using tests::Heard;

namespace {

show::ShowRecord new_show() {
  show::ShowRecord show;
  show.key = "00112233445566778899aabbccddeeff";
  show.venue = "The Old Tannery";
  show.name = "Tin Lanterns";
  return show;
}

/// A wedge that is being rung out, and what is heard of it.
struct Wedge {
  RingOut flow{new_show()};
  Heard heard;
  double sound_s = 0.0;

  explicit Wedge(const char* target = "parametric") {
    flow.add_output({"wedge 1", "vocal", "centre stage", target});
  }

  std::uint32_t rings(double frequency_hz, double level_dbfs = -30.0, int tap = 1) {
    const std::uint32_t id = heard.begins();
    flow.on_event(heard.event(EventKind::kBuilding, id, frequency_hz, level_dbfs - 20.0, tap));
    flow.on_event(heard.event(EventKind::kRinging, id, frequency_hz, level_dbfs, tap));
    return id;
  }

  void fades(std::uint32_t id, double frequency_hz, int tap = 1) {
    flow.on_event(heard.event(EventKind::kFading, id, frequency_hz, -40.0, tap));
    flow.on_event(heard.event(EventKind::kGone, id, frequency_hz, -70.0, tap));
  }

  /// Sound for so long, told of as often as a window draws.
  void listens(double for_s, double peak_dbfs = -35.0) {
    for (double passed_s = 0.0; passed_s <= for_s; passed_s += 0.1) {
      flow.on_sound({sound_s += 0.1, peak_dbfs, true});
    }
  }

  /// All outputs open where they were left, on a stage that shows it.
  void opens_all() {
    std::vector<std::optional<double>> faders_db;
    for (std::size_t i = 0; i < flow.record().outputs.size(); ++i) {
      faders_db.push_back(flow.fader_db(i));
    }
    flow.see_faders(faders_db);
  }

  /// The first on the list, as one key logs it.
  bool log_first() {
    const auto offered = flow.offered();
    return !offered.empty() && flow.log_cut(offered.front().id);
  }

  /// Raise to a fader position, ring, cut, fade.
  void round(double fader_db, double frequency_hz) {
    flow.set_fader_db(fader_db);
    const auto id = rings(frequency_hz);
    REQUIRE(log_first());
    fades(id, frequency_hz);
  }

  [[nodiscard]] const show::OutputRecord& output() const { return *flow.output(); }
};

}  // namespace

TEST_CASE("an output goes through its phases: prepare, raise, catch, check, raise, done") {
  RingOut flow(new_show());
  CHECK(flow.phase() == Phase::kPrepare);
  CHECK(flow.output() == nullptr);
  Wedge wedge;
  RingOut& it = wedge.flow;
  CHECK(it.phase() == Phase::kPrepare);
  for (std::size_t point = 0; point < show::prepare_points().size(); ++point) {
    CHECK(it.phase() == Phase::kPrepare);
    CHECK(!show::is_prepared(wedge.output(), point));
    CHECK(it.tick(point, true));
    CHECK(!it.tick(point, true));  // it is ticked already
    CHECK(show::is_prepared(wedge.output(), point));
  }
  CHECK(it.phase() == Phase::kRaise);
  CHECK(it.tick(1, false));
  CHECK(it.phase() == Phase::kPrepare);
  CHECK(it.tick(1, true));
  CHECK(!it.tick(5, true));  // there are five

  CHECK(it.set_fader_db(-14.0));
  const auto id = wedge.heard.begins();
  it.on_event(wedge.heard.event(EventKind::kBuilding, id, 2631.4));
  CHECK(it.phase() == Phase::kRaise);
  REQUIRE(it.offered().size() == 1);
  CHECK(!it.offered()[0].is_certain);
  it.on_event(wedge.heard.event(EventKind::kRinging, id, 2631.4));
  CHECK(it.phase() == Phase::kCatch);
  REQUIRE(it.offered().size() == 1);
  CHECK(it.offered()[0].is_certain);
  CHECK(it.offered()[0].rang_at_db == -14.0);
  it.propose_all();
  REQUIRE(it.offered()[0].proposal.has_value());
  const auto proposed = it.offered()[0].proposal->cut();
  CHECK(wedge.log_first());
  CHECK(it.offered().empty());
  CHECK(it.phase() == Phase::kCheck);
  CHECK(it.rounds()[0].check == RoundCheck::kSounding);
  CHECK(wedge.output().cuts == std::vector{proposed});
  CHECK(it.cuts().cuts.size() == 1);
  CHECK(it.bands_left() == 7);
  wedge.fades(id, 2631.4);
  CHECK(it.phase() == Phase::kRaise);
  CHECK(it.rounds()[0].check == RoundCheck::kFaded);
  CHECK(it.back_off());
  CHECK(it.phase() == Phase::kDone);

  const show::RoundRecord& round = wedge.output().rounds.at(0);
  CHECK(round.ring.frequency_hz == 2631.4);
  CHECK(round.ring.growth_db_per_s == 30.0);
  CHECK(round.ring.flagged_at.substr(0, 2) == "20");
  CHECK(round.proposed == proposed);
  CHECK(round.cut == proposed);
  CHECK(round.has_faded);
  CHECK(round.rang_at_db == -14.0);
  CHECK(wedge.output().start_at_db == -14.0);
}

TEST_CASE("with several taps a round and the last check say which microphone rang") {
  Wedge wedge;
  wedge.flow.name_channels(show::ChannelNames::parse("3 vocal left\n17 output wedge 1\n", "x"));
  wedge.flow.set_fader_db(-14.0);
  const auto id = wedge.heard.begins();
  show::SessionEvent event = wedge.heard.event(EventKind::kRinging, id, 2631.4, -30.0, 3);
  event.shares.count = 2;
  event.shares.parts[0] = {3, 0.8F, -30.0F};
  event.shares.parts[1] = {4, 0.2F, -40.0F};
  wedge.flow.on_event(event);
  CHECK(wedge.log_first());
  CHECK(wedge.output().rounds.at(0).microphone == "vocal left");
  show::CheckRecord check;
  check.ended_at = "2026-11-28T20:14:00.000+01:00";
  check.rang_hz = {811.0, 2631.4};
  check.rang_in = {"", "vocal left through wedge 1"};
  CHECK(show::check_words(check).find("811 Hz, 2631 Hz in vocal left through wedge 1 rang") == 0);
}

TEST_CASE("a round keeps the loudest second that a calibrated microphone told of its ring") {
  Wedge wedge;
  wedge.flow.set_fader_db(-14.0);
  const auto id = wedge.heard.begins();
  const auto told = [&](EventKind kind, double one_second_db) {
    show::SessionEvent event = wedge.heard.event(kind, id, 2631.4, -30.0);
    event.sound = show::SoundLevels{one_second_db, 80.0, 80.0, 9.0};
    wedge.flow.on_event(event);
  };
  told(EventKind::kBuilding, base::kSilenceDb);
  told(EventKind::kRinging, 91.5);
  told(EventKind::kFading, 97.25);
  wedge.flow.on_event(wedge.heard.event(EventKind::kGone, id, 2631.4, -70.0));
  CHECK(wedge.log_first());
  CHECK(wedge.output().rounds.at(0).ring.laeq_1s_db == 97.25);
  wedge.round(-11.0, 811.0);  // not calibrated any more
  CHECK_FALSE(wedge.output().rounds.at(1).ring.laeq_1s_db.has_value());
}

TEST_CASE("what a round won is told by the fader where the next ring rang") {
  Wedge wedge;
  wedge.round(-14.0, 2631.0);
  CHECK(!wedge.flow.rounds()[0].won_db.has_value());
  CHECK(show::gain_won_db(wedge.output()) == 0.0);
  wedge.round(-11.5, 811.0);
  CHECK(wedge.flow.rounds()[0].won_db == 2.5);
  CHECK(wedge.flow.rounds()[0].check == RoundCheck::kReturned);
  wedge.round(-10.0, 5790.0);
  CHECK(wedge.flow.rounds()[1].won_db == 1.5);
  CHECK(show::gain_won_db(wedge.output()) == 4.0);
  // Typed, since the engineer read it off when nobody listened.
  CHECK(wedge.flow.mark_returned(2, -8.25));
  CHECK(wedge.flow.rounds()[2].won_db == 1.75);
  CHECK(show::gain_won_db(wedge.output()) == 5.75);
  CHECK(!wedge.flow.mark_returned(3));
}

TEST_CASE("rings that rang together win together, and the last of them says what") {
  Wedge wedge;
  wedge.flow.set_fader_db(-12.0);
  const auto a = wedge.rings(700.0, -20.0);
  const auto b = wedge.rings(2000.0, -30.0);
  CHECK(wedge.flow.offered()[0].ring.frequency_hz == 700.0);  // the louder
  CHECK(wedge.log_first());
  CHECK(wedge.log_first());
  wedge.fades(a, 700.0);
  wedge.fades(b, 2000.0);
  wedge.flow.set_fader_db(-9.0);
  wedge.rings(1200.0);
  CHECK(wedge.log_first());
  CHECK(!wedge.flow.rounds()[0].won_db.has_value());
  CHECK(wedge.flow.rounds()[1].won_db == 3.0);
  CHECK(wedge.flow.advice().kind == Advice::Kind::kGoOn);
}

TEST_CASE("a ring can be logged after the fader was pulled, and then its fading proves nothing") {
  Wedge wedge;
  wedge.flow.set_fader_db(-10.0);
  auto id = wedge.rings(500.0);
  wedge.flow.set_fader_db(-20.0);
  wedge.fades(id, 500.0);
  REQUIRE(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.phase() == Phase::kCatch);
  CHECK(wedge.log_first());
  CHECK(wedge.output().rounds[0].rang_at_db == -10.0);
  CHECK(!wedge.output().rounds[0].has_faded);
  CHECK(wedge.flow.rounds()[0].check == RoundCheck::kOpen);
  CHECK(wedge.flow.phase() == Phase::kRaise);
  // Cut first and pulled then: the same.
  wedge.flow.set_fader_db(-8.0);
  id = wedge.rings(900.0);
  CHECK(wedge.log_first());
  wedge.flow.set_fader_db(-20.0);
  wedge.fades(id, 900.0);
  CHECK(!wedge.output().rounds[1].has_faded);
}

TEST_CASE("a ring that comes back near its cut deepens it, the round is a new one") {
  Wedge wedge;
  wedge.round(-14.0, 2631.0);
  const cuts::Band first = wedge.output().cuts.at(0);
  wedge.flow.set_fader_db(-12.0);
  wedge.rings(2634.0);
  wedge.flow.propose_all();
  REQUIRE(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.offered()[0].proposal->kind == show::Proposal::Kind::kDeepens);
  CHECK(wedge.log_first());
  REQUIRE(wedge.output().cuts.size() == 1);
  CHECK(wedge.output().cuts[0].depth_db <= first.depth_db - 3.0);
  CHECK(wedge.output().cuts[0].centre_hz == first.centre_hz);
  REQUIRE(wedge.output().rounds.size() == 2);
  CHECK(wedge.output().rounds[0].cut == first);  // what was logged then
  CHECK(wedge.output().rounds[1].cut == wedge.output().cuts[0]);
}

TEST_CASE("a sweep is a round of its own kind, and its plan the equaliser") {
  Wedge wedge;
  wedge.round(-12.0, 1250.0);
  const show::OutputRecord before = wedge.output();
  show::SweepRecord sweep;
  sweep.from = "sweep";
  sweep.stable_gain_db = 3.0;
  sweep.rings = {{630.0, 3.0}};
  sweep.cuts = {{630.0, 6.0, -4.3}, {2500.0, 3.0, -200.0}, {std::nan(""), 3.0, -2.0}};
  REQUIRE(wedge.flow.log_sweep(sweep));
  REQUIRE(wedge.output().sweeps.size() == 1);
  CHECK(wedge.output().sweeps[0].rings == sweep.rings);
  // What is no cut is not kept, and what the target cannot is taken to the nearest that it can.
  REQUIRE(wedge.output().cuts.size() == 2);
  CHECK(wedge.output().cuts == wedge.output().sweeps[0].cuts);
  CHECK(wedge.output().cuts[1].depth_db > -100.0);
  CHECK(wedge.output().rounds == before.rounds);
  CHECK(wedge.flow.undo_what() == "the sweep");
  REQUIRE(wedge.flow.undo());
  CHECK(wedge.output() == before);
  REQUIRE(wedge.flow.redo());
  CHECK(wedge.output().sweeps.size() == 1);

  // It reopens an output that was ended: that margin was another equaliser's.
  wedge.flow.set_fader_db(-12.0);
  REQUIRE(wedge.flow.back_off());
  REQUIRE(wedge.flow.log_sweep(sweep));
  CHECK_FALSE(wedge.output().is_ended);
  CHECK_FALSE(show::RingOut(new_show()).log_sweep(sweep));
}

TEST_CASE("a full equaliser is set anew as a whole") {
  Wedge wedge("parametric-4");
  const std::array rings_hz{400.0, 700.0, 1300.0, 2600.0, 3300.0};
  double fader_db = -14.0;
  for (const double ring_hz : rings_hz) {
    wedge.round(fader_db, ring_hz);
    fader_db += 2.0;
  }
  CHECK(wedge.flow.bands_left() == 0);
  CHECK(wedge.output().cuts.size() <= 4);
  CHECK(wedge.output().rounds.size() == 5);
  CHECK(wedge.flow.undo());  // the fader
  CHECK(wedge.flow.redo());
}

TEST_CASE("a cut can be edited before it is logged, and after, on the target's own steps") {
  Wedge wedge("third-octave");
  wedge.flow.set_fader_db(-14.0);
  wedge.rings(1010.0);
  wedge.flow.propose_all();
  const auto offered = wedge.flow.offered();
  const cuts::Band proposed = offered[0].proposal->cut();
  const cuts::Band deeper = show::step_on(wedge.flow.target(), proposed, show::CutField::kDepth, 2);
  CHECK(deeper.depth_db == proposed.depth_db - 1.0);  // two steps of half a dB
  CHECK(wedge.flow.log_cut(offered[0].id, deeper));
  CHECK(wedge.output().rounds[0].proposed == proposed);
  CHECK(wedge.output().rounds[0].cut == deeper);
  CHECK(wedge.output().cuts.at(0) == deeper);
  // 700 Hz is no band of a third-octave graphic, and -4.3 dB no step.
  CHECK(wedge.flow.edit_cut(0, {700.0, 9.0, -4.3}));
  const cuts::Band at = wedge.output().cuts.at(0);
  CHECK(at.centre_hz == doctest::Approx(std::pow(10.0, 2.8)));
  CHECK(at.depth_db == doctest::Approx(-4.5));
  CHECK(wedge.output().rounds[0].cut == at);
  CHECK(!wedge.flow.edit_cut(1, at));
  CHECK(!wedge.flow.edit_cut(0, {0.0, 1.0, -3.0}));
  CHECK(wedge.flow.remove_cut(0));
  CHECK(wedge.output().cuts.empty());
  CHECK(wedge.flow.rounds()[0].check == RoundCheck::kToCut);
  CHECK(wedge.flow.add_cut({250.0, 4.0, -3.0}));
  CHECK(wedge.output().cuts.size() == 1);
}

TEST_CASE("what is no ring is not offered again in the show, within half a percent") {
  Wedge wedge;
  wedge.flow.set_fader_db(-14.0);
  const auto tone = wedge.rings(1000.0);
  REQUIRE(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.dismiss(wedge.flow.offered()[0].id, "line-up tone", wedge.heard.now()));
  CHECK(wedge.flow.offered().empty());
  CHECK(wedge.flow.dismissed_sounding() == std::vector{show::DismissedRing{1000.0, 0}});
  CHECK(wedge.flow.phase() != Phase::kCatch);
  wedge.fades(tone, 1000.0);
  wedge.flow.add_output({"wedge 2", "", "", ""});
  wedge.rings(1004.9);
  CHECK(wedge.flow.offered().empty());
  wedge.rings(1005.2);
  CHECK(wedge.flow.offered().size() == 1);
  // Mains hum: 1 Hz either way where that is more than half a percent.
  wedge.rings(50.0);
  CHECK(wedge.flow.dismiss(wedge.flow.offered()[1].id, "hum", wedge.heard.now()));
  wedge.rings(50.9);
  CHECK(wedge.flow.offered().size() == 1);
  wedge.rings(51.1);
  CHECK(wedge.flow.offered().size() == 2);
  REQUIRE(wedge.flow.record().dismissals.size() == 2);
  CHECK(wedge.flow.record().dismissals[0].reason == "line-up tone");
  CHECK(wedge.flow.record().dismissals[0].dismissed_at.size() == 29);  // ISO 8601, ms, offset
  // It goes on after a restart, and can be taken back.
  RingOut later(wedge.flow.record());
  Heard heard;
  later.on_event(heard.event(EventKind::kRinging, 1, 999.0));
  CHECK(later.offered().empty());
  CHECK(later.restore(0));
  CHECK(later.offered().size() == 1);
  CHECK(!later.restore(1 + later.record().dismissals.size()));
}

TEST_CASE("a ring on two taps is offered once and served by one cut") {
  Wedge wedge;
  wedge.flow.set_fader_db(-14.0);
  const auto a = wedge.rings(1500.0, -30.0, 1);
  const auto b = wedge.rings(1500.4, -20.0, 2);
  REQUIRE(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.offered()[0].tap == 2);
  CHECK(wedge.log_first());
  CHECK(wedge.flow.offered().empty());
  wedge.fades(b, 1500.4, 2);
  wedge.fades(a, 1500.0, 1);
  CHECK(wedge.flow.offered().empty());
  CHECK(wedge.output().rounds[0].has_faded);
}

TEST_CASE("a ring that its cut did not stop is offered again once that is said") {
  Wedge wedge;
  wedge.flow.set_fader_db(-14.0);
  wedge.rings(1500.0);
  CHECK(wedge.log_first());
  CHECK(wedge.flow.offered().empty());
  CHECK(wedge.flow.mark_returned(0));
  REQUIRE(wedge.flow.offered().size() == 1);
  CHECK(wedge.log_first());
  REQUIRE(wedge.output().cuts.size() == 1);
  CHECK(wedge.output().cuts[0].depth_db < wedge.output().rounds[0].cut->depth_db);
  CHECK(wedge.flow.advice().kind == Advice::Kind::kMayStop);  // 0 dB won
}

TEST_CASE("a ring can be let go, and is offered when it rings again") {
  Wedge wedge;
  const auto id = wedge.rings(1500.0);
  wedge.fades(id, 1500.0);
  CHECK(wedge.flow.let_go(wedge.flow.offered().at(0).id));
  CHECK(wedge.flow.offered().empty());
  wedge.rings(1500.0);
  CHECK(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.undo());
  CHECK(wedge.flow.offered().size() == 1);  // at one place, once
}

TEST_CASE("advice to stop names its reason") {
  SUBCASE("the rounds are many") {
    Wedge wedge;
    double fader_db = -20.0;
    double ring_hz = 300.0;
    for (int round = 1; round <= 7; ++round) {
      CHECK(wedge.flow.advice().kind ==
            (round <= 5 ? Advice::Kind::kGoOn : Advice::Kind::kMayStop));
      wedge.round(fader_db += 2.0, ring_hz *= 1.5);
    }
    const Advice advice = wedge.flow.advice();
    CHECK(advice.kind == Advice::Kind::kStop);
    CHECK(advice.reason == "Stop: 7 rounds; 5 to 7 are usual.");
    CHECK(wedge.flow.back_off());
    CHECK(wedge.output().advice == advice.reason);
  }
  SUBCASE("the last round won little: said as soon as the next ring is caught") {
    Wedge wedge;
    wedge.round(-14.0, 700.0);
    wedge.round(-11.0, 1700.0);
    CHECK(wedge.flow.advice().reason == "Go on: round 3 of 5 to 7, and round 1 won 3.0 dB.");
    CHECK(wedge.flow.rounds().back().check == RoundCheck::kFaded);
    wedge.flow.set_fader_db(-10.5);
    wedge.rings(3300.0);
    CHECK(wedge.flow.advice().kind == Advice::Kind::kMayStop);
    CHECK(
        wedge.flow.advice().reason ==
        "You may stop: round 2 won 0.5 dB, less than 1 dB. Or go on: 2 of 5 to 7 rounds are done.");
    // The round's own row says the same, and so does the record, at once.
    CHECK(wedge.flow.rounds().back().check == RoundCheck::kReturned);
    CHECK(wedge.flow.rounds().back().won_db == 0.5);
    CHECK(wedge.output().rounds.back().returned_at_db == -10.5);
    CHECK(show::gain_won_db(wedge.output()) == 3.5);
    // The engineer stops here, and that ring is what the margin is taken from.
    CHECK(wedge.flow.back_off(6.0));
    CHECK(wedge.flow.fader_db() == -16.5);
    CHECK(wedge.output().rounds.back().returned_at_db == -10.5);
    CHECK(wedge.output().back_off_db == 6.0);
  }
  SUBCASE("from the fifth round on, little won is the end") {
    Wedge wedge;
    double ring_hz = 300.0;
    for (const double fader_db : {-14.0, -11.0, -9.0, -7.0, -5.0}) {
      wedge.round(fader_db, ring_hz *= 1.5);
    }
    CHECK(wedge.flow.advice().kind == Advice::Kind::kMayStop);
    wedge.flow.set_fader_db(-4.5);
    wedge.rings(4000.0);
    CHECK(wedge.flow.advice().kind == Advice::Kind::kStop);
    CHECK(wedge.flow.advice().reason == "Stop after 5 rounds: round 5 won 0.5 dB, less than 1 dB.");
    CHECK(std::string(wedge.flow.instruction()) == "Pull the fader down, and back off.");
  }
  SUBCASE("two rounds that won little together are the end too") {
    Wedge wedge;
    wedge.round(-14.0, 700.0);
    wedge.round(-13.5, 1700.0);
    wedge.flow.set_fader_db(-13.25);
    wedge.rings(3300.0);
    CHECK(wedge.flow.advice().kind == Advice::Kind::kStop);
    CHECK(wedge.flow.advice().reason ==
          "Stop: the last two rounds together won 0.8 dB, less than 1 dB.");
  }
  SUBCASE("more than three ring at once") {
    Wedge wedge;
    for (const double ring_hz : {300.0, 700.0, 1700.0}) {
      wedge.rings(ring_hz);
    }
    CHECK(wedge.flow.advice().kind == Advice::Kind::kGoOn);
    wedge.rings(4000.0);
    CHECK(wedge.flow.advice().kind == Advice::Kind::kStop);
    CHECK(wedge.flow.advice().reason == "Stop: 4 ring at once, more than three.");
  }
}

TEST_CASE("backing off never takes the fader up, and can be taken back") {
  Wedge wedge;
  wedge.round(-10.0, 700.0);
  wedge.flow.set_fader_db(-30.0);
  CHECK(wedge.flow.place_db(3.0) == -13.0);
  CHECK(wedge.flow.would_go_up(3.0));
  CHECK(!wedge.flow.back_off(3.0));  // it would be up
  CHECK(!wedge.output().is_ended);
  CHECK(wedge.flow.fader_db() == -30.0);
  wedge.flow.set_fader_db(-10.0);
  CHECK(wedge.flow.back_off());
  CHECK(wedge.flow.fader_db() == -16.0);
  CHECK(wedge.output().back_off_db == 6.0);
  CHECK(wedge.output().is_ended);
  CHECK(wedge.flow.reopen());
  CHECK(!wedge.output().back_off_db);
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().back_off_db == 6.0);
  CHECK(wedge.flow.undo());
  CHECK(!wedge.output().is_ended);
  CHECK(wedge.flow.fader_db() == -16.0);  // undo takes no fader up
  CHECK(!wedge.flow.back_off(-1.0));
  // After a restart the fader is not known, and stays so until somebody says it.
  RingOut later(wedge.flow.record());
  CHECK(later.back_off(6.0));
  CHECK(!later.fader_db());
  RingOut found(wedge.flow.record());
  CHECK(found.find_fader_db(-18.0));
  CHECK(!found.find_fader_db(-2.0));  // it is known now
  CHECK(!found.back_off(6.0));        // -16 dB would be up
  CHECK(found.fader_db() == -18.0);
  CHECK(found.back_off(8.0));
}

TEST_CASE("an output in which nothing rang is ended without margin, advice or place") {
  Wedge wedge;
  wedge.flow.set_fader_db(-12.0);
  CHECK(!wedge.output().tried_to_db);
  wedge.listens(2.0);
  CHECK(wedge.output().tried_to_db == -12.0);
  wedge.flow.set_fader_db(-3.0);
  wedge.listens(0.5);
  CHECK(wedge.output().tried_to_db == -12.0);  // not long enough
  wedge.listens(2.0, -120.0);
  CHECK(wedge.output().tried_to_db == -12.0);  // silence says nothing
  wedge.listens(2.0);
  CHECK(wedge.output().tried_to_db == -3.0);
  wedge.flow.set_fader_db(-9.0);
  wedge.listens(2.0);
  CHECK(wedge.flow.back_off());
  CHECK(wedge.flow.phase() == Phase::kDone);
  CHECK(wedge.output().is_ended);
  CHECK(!wedge.output().back_off_db);
  CHECK(wedge.output().advice.empty());
  CHECK(wedge.output().tried_to_db == -3.0);
  CHECK(wedge.flow.fader_db() == -9.0);
  CHECK(!show::leave_at_db(wedge.output()));
  // A ring that is caught and not cut is one: the margin is under it.
  Wedge other;
  other.flow.set_fader_db(-8.0);
  const auto id = other.rings(900.0);
  CHECK(other.output().start_at_db == -8.0);
  other.fades(id, 900.0);
  CHECK(other.flow.back_off(6.0));
  CHECK(show::leave_at_db(other.output()) == -14.0);
  CHECK(other.flow.fader_db() == -14.0);
}

TEST_CASE("what a ring at the catch said is taken back when it is no ring, or let go") {
  for (const bool is_dismissed : {true, false}) {
    Wedge wedge;
    wedge.round(-14.0, 700.0);
    wedge.flow.set_fader_db(-11.0);
    wedge.rings(1700.0);
    CHECK(wedge.output().rounds[0].returned_at_db == -11.0);
    const auto id = wedge.flow.offered().at(0).id;
    CHECK((is_dismissed ? wedge.flow.dismiss(id, "", wedge.heard.now()) : wedge.flow.let_go(id)));
    CHECK(!wedge.output().rounds[0].returned_at_db);
    CHECK(show::gain_won_db(wedge.output()) == 0.0);
    CHECK(wedge.flow.undo());
    CHECK(wedge.output().rounds[0].returned_at_db == -11.0);
    // Heard, so it holds however far is gone back.
    CHECK(wedge.flow.note_output("dry"));
    CHECK(wedge.flow.undo());
    CHECK(wedge.output().rounds[0].returned_at_db == -11.0);
  }
}

TEST_CASE("a cut that is taken out won nothing, and no margin is claimed above its ring") {
  Wedge wedge;
  wedge.round(-14.0, 700.0);
  wedge.round(-11.0, 1700.0);
  CHECK(show::gain_won_db(wedge.output()) == 3.0);
  CHECK(show::edge_db(wedge.output()) == -11.0);
  CHECK(wedge.flow.back_off());
  CHECK(wedge.flow.remove_cut(0));
  CHECK(!wedge.output().is_ended);  // the margin was another equaliser's
  CHECK(show::gain_won_db(wedge.output()) == 0.0);
  CHECK(show::edge_db(wedge.output()) == -14.0);
}

TEST_CASE("several outputs, each with its own fader, and a last check with all open") {
  Wedge wedge;
  wedge.round(-10.0, 700.0);
  CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  wedge.flow.back_off();
  wedge.flow.add_output({"wedge 2", "", "", "octave"});
  CHECK(wedge.flow.chosen() == 1U);
  CHECK(!wedge.flow.fader_db());
  CHECK(wedge.flow.target().name == "octave");
  wedge.round(-5.0, 900.0);
  CHECK_THROWS_AS(wedge.flow.add_output({"wedge 1", "", "", ""}), base::Error);
  CHECK_THROWS_AS(wedge.flow.add_output({" ", "", "", ""}), base::Error);
  CHECK_THROWS_AS(wedge.flow.add_output({"wedge 3", "", "", "kind = none"}), base::Error);
  CHECK_THROWS_AS((void)wedge.flow.change_output({"wedge 1", "", "", ""}), base::Error);
  CHECK(wedge.flow.change_output({"side fill", "", "", "octave"}));
  CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  // What rang last of an output is left as it is, and no card, nor said to ring in the last check.
  const auto left = wedge.rings(1800.0);
  CHECK(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.back_off());
  CHECK(wedge.flow.offered().size() == 1);  // as long as it sounds
  wedge.fades(left, 1800.0);
  CHECK(wedge.flow.offered().empty());
  CHECK(std::string(wedge.flow.instruction()).find("log the last check") != std::string::npos);
  wedge.opens_all();
  wedge.listens(11.0);
  CHECK(wedge.flow.log_last_check(wedge.heard.now()));
  CHECK(std::string(wedge.flow.instruction()) == "Done, and checked with all outputs open.");
  CHECK(show::check_words(*wedge.flow.record().check).find("nothing rang in 1") == 0);
  wedge.rings(1234.0);
  CHECK(wedge.flow.log_last_check(wedge.heard.now()));
  CHECK(show::check_words(*wedge.flow.record().check).find("1234 Hz rang") == 0);
  // It belongs to the first wedge, which stands at -16 dB.
  CHECK(wedge.flow.choose_output(0));
  CHECK(wedge.flow.fader_db() == -16.0);
  CHECK(wedge.log_first());
  CHECK(wedge.output().rounds.size() == 2);
  CHECK(wedge.output().rounds[1].rang_at_db == -16.0);
  CHECK(!wedge.flow.choose_output(2));
}

TEST_CASE("a check has listened: for ten seconds, to sound, with every output at its place") {
  Wedge wedge;
  wedge.round(-10.0, 700.0);
  wedge.listens(20.0);
  CHECK(wedge.flow.check_obstacle() == "wedge 1 is not ended yet: back it off first.");
  wedge.flow.back_off();
  CHECK(wedge.flow.check_obstacle() == "Say that wedge 1 is open at -16.0 dB.");
  CHECK(wedge.flow.say_in_place(0));
  CHECK(wedge.flow.check_obstacle() == "0 of 10 s are listened to, and no sound comes.");
  wedge.listens(5.0);
  CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  wedge.listens(20.0, -90.0);  // no microphone
  CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  wedge.listens(6.0, -28.4);
  CHECK(wedge.flow.check_obstacle().empty());
  CHECK(wedge.flow.log_last_check(wedge.heard.now()));
  const show::CheckRecord& check = wedge.flow.record().check.value();
  CHECK(check.listened_s == doctest::Approx(11.0).epsilon(0.03));
  CHECK(check.loudest_dbfs == -28.4);
  CHECK(check.rang_hz.empty());
  // A ring that came and went meanwhile is told.
  wedge.flow.set_fader_db(-17.0);
  CHECK(!wedge.flow.record().check);
  CHECK(!wedge.flow.say_in_place(0));
  CHECK(wedge.flow.check_obstacle() == "wedge 1 stands at -17.0 dB; its place is -16.0 dB.");
  wedge.flow.set_fader_db(-16.0);
  CHECK(wedge.flow.say_in_place(0));
  wedge.listens(5.0);
  wedge.fades(wedge.rings(1800.0), 1800.0);
  wedge.listens(6.0);
  CHECK(wedge.flow.log_last_check(wedge.heard.now()));
  CHECK(wedge.flow.record().check->rang_hz == std::vector{1800.0});
  // After a restart nothing is known to be in place, and the check is what it was.
  RingOut later(wedge.flow.record());
  CHECK(later.record().check == wedge.flow.record().check);
  later.see_faders(std::vector<std::optional<double>>{-12.0});
  CHECK(later.check_obstacle() == "wedge 1 stands at -12.0 dB; its place is -16.0 dB.");
  CHECK(later.find_fader_db(-12.0));
  CHECK(later.record().check);  // nobody moved anything
  later.see_faders(std::vector<std::optional<double>>{std::nullopt});
  CHECK(later.check_obstacle() == "wedge 1 is not open with its cuts in.");
}

TEST_CASE("the last check vouches for nothing that came after it") {
  using Act = std::function<void(Wedge&)>;
  const std::array<Act, 11> acts{
      [](Wedge& it) { it.flow.set_fader_db(-20.0); },
      [](Wedge& it) {
        it.flow.add_output({"wedge 2", "", "", ""});
      },
      [](Wedge& it) {
        it.flow.change_output({"wedge 1", "vocal", "", "octave"});
      },
      [](Wedge& it) {
        it.flow.add_cut({250.0, 4.0, -3.0});
      },
      [](Wedge& it) {
        it.flow.edit_cut(0, {720.0, 4.0, -3.0});
      },
      [](Wedge& it) { it.flow.remove_cut(0); },
      [](Wedge& it) { it.flow.reopen(); },
      [](Wedge& it) {
        it.rings(1234.0);
        it.log_first();
      },
      [](Wedge& it) {
        it.rings(1234.0);
        it.flow.dismiss(it.flow.offered()[0].id, "hum", it.heard.now());
      },
      [](Wedge& it) { it.flow.undo(); },
      [](Wedge& it) {
        it.flow.note_show("loud");
        it.flow.undo();
      },
  };
  for (std::size_t i = 0; i < acts.size(); ++i) {
    CAPTURE(i);
    Wedge wedge;
    wedge.round(-10.0, 700.0);
    wedge.flow.back_off();
    wedge.opens_all();
    wedge.listens(12.0);
    REQUIRE(wedge.flow.log_last_check(wedge.heard.now()));
    CHECK(wedge.flow.undo_what() == "the last check");
    CHECK(wedge.flow.note_output("dry"));  // words leave it as it is
    CHECK(wedge.flow.name_show("Tannery", "second night"));
    CHECK(wedge.flow.record().check);
    wedge.fades(wedge.rings(3000.0), 3000.0);  // the check says when it was
    CHECK(wedge.flow.record().check);
    const auto revision = wedge.flow.revision();
    acts.at(i)(wedge);
    CHECK(!wedge.flow.record().check);
    CHECK(wedge.flow.revision() > revision);
    CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  }
}

TEST_CASE("while something rings after the check, the advice is about that") {
  Wedge wedge;
  wedge.round(-10.0, 700.0);
  wedge.flow.back_off();
  wedge.opens_all();
  wedge.listens(12.0);
  REQUIRE(wedge.flow.log_last_check(wedge.heard.now()));
  wedge.rings(1234.0);
  CHECK(wedge.flow.phase() == Phase::kCatch);
  CHECK(std::string(wedge.flow.instruction()).find("Pull the fader down") == 0);
}

TEST_CASE("a proposal made elsewhere is taken when it still fits, and dropped when it does not") {
  Wedge wedge;
  wedge.rings(700.0);
  const auto input = wedge.flow.next_to_propose();
  REQUIRE(input.has_value());
  const show::Proposal proposal = show::propose(*input);
  wedge.flow.add_cut({3000.0, 4.0, -3.0});  // meanwhile
  wedge.flow.take_proposal(*input, proposal);
  CHECK(!wedge.flow.offered()[0].proposal.has_value());
  const auto again = wedge.flow.next_to_propose();
  REQUIRE(again.has_value());
  wedge.flow.take_proposal(*again, show::propose(*again));
  CHECK(wedge.flow.offered()[0].proposal.has_value());
  CHECK(!wedge.flow.next_to_propose().has_value());
}

TEST_CASE("undo moves no fader: a fader goes up by a hand alone") {
  Wedge wedge;
  wedge.flow.set_fader_db(-20.0);
  wedge.flow.step_fader_db(5.0);
  wedge.rings(800.0);
  wedge.flow.step_fader_db(-10.0);
  CHECK(wedge.flow.undo_what() == "add wedge 1");
  CHECK(wedge.flow.undo());
  CHECK(wedge.flow.output() == nullptr);
  CHECK(wedge.flow.redo());
  CHECK(wedge.flow.fader_db() == -25.0);
  CHECK(wedge.flow.undo());
  wedge.flow.add_output({"wedge 2", "", "", ""});
  CHECK(!wedge.flow.fader_db());  // another one, of which nothing is known
  CHECK(wedge.flow.undo());
  CHECK(!wedge.flow.undo());
  CHECK(wedge.flow.redo_what() == "add wedge 2");
}

TEST_CASE("a ring that is heard while undoing is no round's, and makes none") {
  Wedge wedge;
  wedge.round(-14.0, 700.0);
  wedge.flow.set_fader_db(-11.0);
  CHECK(wedge.flow.note_output("dry stage"));
  CHECK(wedge.flow.undo());
  const show::OutputRecord before = wedge.output();
  const auto id = wedge.rings(1200.0);
  CHECK(wedge.output() == before);  // nothing came back after round 1, as far as is known
  REQUIRE(wedge.flow.offered().size() == 1);
  wedge.fades(id, 1200.0);
  // Heard after the next move of the fader it counts.
  wedge.flow.set_fader_db(-10.0);
  wedge.rings(1900.0);
  CHECK(wedge.output().rounds[0].returned_at_db == -10.0);
}

TEST_CASE("an undone cut offers its ring again, that it faded is not forgotten") {
  Wedge wedge;
  wedge.flow.set_fader_db(-14.0);
  const auto id = wedge.rings(700.0);
  CHECK(wedge.log_first());
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().rounds.empty());
  CHECK(wedge.output().cuts.empty());
  CHECK(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.redo());
  CHECK(wedge.flow.note_output("dry stage"));
  wedge.fades(id, 700.0);
  CHECK(wedge.output().rounds[0].has_faded);
  CHECK(wedge.flow.undo());  // the note
  CHECK(wedge.output().note.empty());
  CHECK(wedge.output().rounds[0].has_faded);
  CHECK(wedge.flow.redo());
  CHECK(wedge.output().rounds[0].has_faded);
}

namespace {

/// Does and says anything at all, in any order.
class Wanderer {
 public:
  explicit Wanderer(std::uint32_t seed) : random_(seed) {}

  /// True when an action, rather than an event, was asked for.
  bool step() {
    const std::uint32_t what = below(22);
    if (what < 6) {
      happen();
      return false;
    }
    act(what);
    return true;
  }

  RingOut flow{new_show()};

 private:
  std::uint32_t below(std::uint32_t count) { return static_cast<std::uint32_t>(random_() % count); }

  void happen() {
    if (sounding_.empty() || below(2) == 0) {
      sounding_.push_back({heard_.begins(), 100.0 * (1 + below(60))});
      const auto& ring = sounding_.back();
      flow.on_event(heard_.event(EventKind::kBuilding, ring.id, ring.frequency_hz));
      flow.on_event(heard_.event(EventKind::kRinging, ring.id, ring.frequency_hz));
      return;
    }
    const std::size_t index = below(static_cast<std::uint32_t>(sounding_.size()));
    const auto ring = sounding_[index];
    flow.on_event(heard_.event(EventKind::kFading, ring.id, ring.frequency_hz));
    if (below(2) == 0) {
      flow.on_event(heard_.event(EventKind::kGone, ring.id, ring.frequency_hz));
      sounding_.erase(sounding_.begin() + static_cast<std::ptrdiff_t>(index));
    }
  }

  std::uint64_t some_ring() {
    const auto offered = flow.offered();
    return offered.empty() ? 0 : offered[below(static_cast<std::uint32_t>(offered.size()))].id;
  }

  void act(std::uint32_t what) {
    switch (what) {
      case 6:
        flow.add_output({"output " + std::to_string(++output_count_), "", "", "parametric-4"});
        break;
      case 7:
        flow.choose_output(below(4));
        break;
      case 8:
        flow.tick(below(6), below(2) == 0);
        break;
      case 9:
      case 10:
        flow.step_fader_db(0.5 * below(8) - 1.5);
        break;
      case 11:
      case 12:
      case 13:
        flow.log_cut(some_ring());
        break;
      case 14:
        flow.log_cut(some_ring(), cuts::Band{100.0 * (1 + below(60)), 6.0, -4.5});
        break;
      case 15:
        flow.edit_cut(below(4), {100.0 * (1 + below(60)), 6.0, -1.0 * (1 + below(9))});
        break;
      case 16:
        below(2) == 0 ? flow.remove_cut(below(4))
                      : flow.add_cut(cuts::to_band(cuts::HighPass{80.0}));
        break;
      case 17:
        below(3) == 0 ? flow.restore(below(3)) : flow.dismiss(some_ring(), "hum", heard_.now());
        break;
      case 18:
        below(2) == 0 ? flow.let_go(some_ring()) : flow.mark_returned(below(5));
        break;
      case 19:
        below(2) == 0 ? flow.note_output("note " + std::to_string(below(3)))
                      : flow.note_round(below(3), "note");
        break;
      case 20:
        below(2) == 0 ? flow.back_off(below(10)) : flow.reopen();
        break;
      default:
        below(2) == 0 ? flow.log_last_check(heard_.now())
                      : flow.name_show("venue", "show " + std::to_string(below(3)));
        break;
    }
  }

  struct Sounding {
    std::uint32_t id;
    double frequency_hz;
  };

  std::mt19937 random_;
  Heard heard_;
  std::vector<Sounding> sounding_;
  int output_count_ = 0;
};

/// Everything that undo brings back.
struct Seen {
  show::ShowRecord record;
  std::optional<std::size_t> chosen;

  explicit Seen(const RingOut& flow) : record(flow.record()), chosen(flow.chosen()) {
    for (show::OutputRecord& output : record.outputs) {
      output.start_at_db.reset();  // heard, not done: compared apart
      for (show::RoundRecord& round : output.rounds) {
        round.has_faded = false;
        round.returned_at_db.reset();
      }
    }
    record.check.reset();
  }

  friend bool operator==(const Seen&, const Seen&) = default;
};

}  // namespace

TEST_CASE(
    "whatever is done, undoing all of it leads back to the start, and redoing all to the end") {
  for (std::uint32_t seed = 1; seed <= 20; ++seed) {
    CAPTURE(seed);
    Wanderer wanderer(seed);
    RingOut& flow = wanderer.flow;
    std::vector<Seen> path{Seen(flow)};
    for (int count = 0; count < 120; ++count) {
      const std::uint64_t revision = flow.revision();
      const show::ShowRecord record = flow.record();
      wanderer.step();
      CHECK((flow.record() == record || flow.revision() != revision));
      if (path.back() != Seen(flow)) {
        path.emplace_back(flow);
      }
    }
    show::ShowRecord end = flow.record();
    end.check.reset();  // undo voids it for good
    // Backwards through places of the path, in order.
    std::size_t at = path.size() - 1;
    int undone = 0;
    while (flow.undo()) {
      ++undone;
      const Seen now(flow);
      while (at > 0 && path[at] != now) {
        --at;
      }
      REQUIRE(path[at] == now);
    }
    CHECK(undone > 20);
    CHECK(flow.record() == new_show());
    CHECK(!flow.chosen());
    int redone = 0;
    while (flow.redo()) {
      ++redone;
    }
    CHECK(redone == undone);
    CHECK(flow.record() == end);  // what was heard included
    CHECK(Seen(flow) == path.back());
  }
}

TEST_CASE("after an undo a new action takes the place of what could be redone") {
  Wedge wedge;
  wedge.flow.note_output("one");
  wedge.flow.note_output("two");
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().note == "one");
  wedge.flow.note_output("three");
  CHECK(!wedge.flow.redo());
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().note == "one");
}
