#include <doctest/doctest.h>

#include <string>

#include "base/error.h"
#include "base/units.h"
#include "show/ring_out/ring_out.h"
#include "support/heard.h"
#include "support/wedge.h"

using namespace brink;
using show::Advice;
using show::Phase;
using show::RingOut;
using show::RoundCheck;
using tests::Heard;
using tests::Wedge;

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
