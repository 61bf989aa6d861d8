#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "base/units.h"
#include "cuts/band.h"
#include "show/kept_target.h"
#include "show/ring_out/ring_out.h"
#include "support/heard.h"
#include "support/wedge.h"

using namespace brink;
using show::Advice;
using show::EventKind;
using show::Phase;
using show::RingOut;
using show::RoundCheck;
using tests::Heard;
using tests::new_show;
using tests::Wedge;

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

TEST_CASE(
    "a ring that began before another output was chosen is not offered there once it is over") {
  Wedge wedge;
  RingOut& it = wedge.flow;
  it.set_fader_db(-14.0);
  wedge.listens(5.0);
  const auto late = wedge.heard.begins();
  wedge.heard.passes(0.3);
  it.on_sound({wedge.heard.stream_s(), -20.0, true});
  it.add_output({"wedge 2", "vocal", "stage left", "parametric"});
  it.on_event(wedge.heard.event(EventKind::kRinging, late, 2779.0));
  CHECK(it.offered().size() == 1);  // it sounds
  wedge.fades(late, 2779.0);
  CHECK(it.offered().empty());
  CHECK(it.phase() == Phase::kPrepare);

  it.set_fader_db(-20.0);
  const auto own = wedge.rings(811.0);
  wedge.fades(own, 811.0);
  REQUIRE(it.offered().size() == 1);
  CHECK(it.offered()[0].id == own);

  // At its own output it is what rang there first, at the fader of then.
  CHECK(it.choose_output(0));
  REQUIRE(it.offered().size() == 1);
  CHECK(it.offered()[0].id == late);
  CHECK(it.offered()[0].rang_at_db == -14.0);
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
  later.on_event(heard.event(EventKind::kRinging, heard.begins(), 999.0));
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
