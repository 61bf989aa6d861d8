#include "cuts/link/link_talk.h"

#include <doctest/doctest.h>

#include <limits>

#include "support/link_evening.h"

using namespace brink;
using namespace brink::cuts;
using tests::Evening;
using Kind = LinkPart::Kind;
using State = LinkReport::State;

namespace {

/// The same console without answers.
LinkedTarget mute_target() {
  LinkedTarget target = tests::linked_target();
  target.link.answers = Link::Answers::kNever;
  return target;
}

Band cut(double hz, double q, double depth_db) {
  return {hz, q, depth_db};
}

}  // namespace

TEST_CASE("a cut is sent when it is logged, in small steps, and read back") {
  Evening evening(tests::linked_target());
  evening.run(2.0);
  CHECK(evening.console.sets() == 0);  // nothing without a key
  CHECK(evening.talk.is_alive(evening.now_s));
  CHECK(*evening.talk.fader_db(evening.now_s) == doctest::Approx(-10.0));
  evening.log({cut(2631.0, 8.0, -6.0)});
  evening.run(2.0);
  REQUIRE(evening.talk.reports().size() == 1);
  CHECK(evening.talk.reports()[0].state == State::kConfirmed);
  CHECK(evening.console.bands()[0].centre_hz == doctest::Approx(2631.0).epsilon(1e-3));
  CHECK(evening.console.bands()[0].q == doctest::Approx(8.0).epsilon(1e-3));
  CHECK(evening.console.bands()[0].depth_db == doctest::Approx(-6.0).epsilon(1e-3));
  CHECK(evening.steepest_db <= 1.001);
  // Steps of 50 ms; the network here takes at most 2 ms, the clock of the test ticks every 10 ms.
  CHECK(evening.shortest_pause_s >= 0.05 - 0.011);
  CHECK(evening.highest_db <= 0.1);
  CHECK(!evening.has_set_fader);
}

TEST_CASE("a deeper cut goes on from where the band stands") {
  Evening evening(tests::linked_target());
  evening.run(1.0);
  evening.log({cut(2631.0, 8.0, -3.0)});
  evening.run(2.0);
  evening.log({cut(2631.0, 8.0, -6.0), cut(400.0, 4.0, -2.0)});
  evening.run(2.0);
  CHECK(evening.talk.reports().back().state == State::kConfirmed);
  CHECK(evening.console.bands()[0].depth_db == doctest::Approx(-6.0).epsilon(1e-3));
  CHECK(evening.console.bands()[1].centre_hz == doctest::Approx(400.0).epsilon(1e-3));
  CHECK(evening.console.bands()[1].depth_db == doctest::Approx(-2.0).epsilon(1e-3));
  CHECK(evening.steepest_db <= 1.001);
}

TEST_CASE("an undo, a band that moves and a high-pass are to be set by hand") {
  Evening evening(tests::linked_target());
  evening.run(1.0);
  evening.log({cut(2631.0, 8.0, -6.0)});
  evening.run(2.0);
  const int sets = evening.console.sets();
  SUBCASE("undo") {
    evening.log({});
    evening.run(2.0);
    CHECK(evening.talk.reports().back().state == State::kByHand);
    CHECK(evening.talk.reports().back().band == 0);
    CHECK(evening.talk.reports().back().why == "brink never takes a cut out");
    CHECK(evening.console.sets() == sets);
    evening.console.set_by_hand({Kind::kDepth, 0}, 0.0);  // the hand did it
    evening.run(3.0);
    CHECK(evening.talk.reports().back().state == State::kConfirmed);
  }
  SUBCASE("moved") {
    evening.log({cut(2800.0, 8.0, -6.0)});
    evening.run(2.0);
    CHECK(evening.talk.reports().back().state == State::kByHand);
    CHECK(evening.talk.reports().back().why.find("it raises 2.") == 0);
    CHECK(evening.console.sets() == sets);
  }
  SUBCASE("shallower") {
    evening.log({cut(2631.0, 8.0, -5.0)});
    evening.run(2.0);
    CHECK(evening.talk.reports().back().why == "it raises 2.63 kHz by 1.0 dB");
    CHECK(evening.console.sets() == sets);
  }
  SUBCASE("high-pass") {
    evening.log({to_band(HighPass{100.0}), cut(2631.0, 8.0, -6.0)});
    evening.run(2.0);
    CHECK(evening.talk.reports().back().state == State::kByHand);
    CHECK(evening.console.sets() == sets);
  }
}

TEST_CASE("an undo in the middle stops what is being sent") {
  Evening evening(tests::linked_target());
  evening.run(1.0);
  evening.log({cut(2631.0, 8.0, -12.0)});
  evening.run(0.4);
  evening.log({});
  evening.run(0.1);
  const double depth_db = evening.console.bands()[0].depth_db;
  CHECK(depth_db > -12.0);
  CHECK(depth_db < 0.0);
  evening.run(2.0);
  CHECK(evening.console.bands()[0].depth_db == depth_db);
  REQUIRE(evening.talk.reports().size() == 1);
  CHECK(evening.talk.reports()[0].state == State::kByHand);
  CHECK(evening.talk.reports()[0].band == 0);
}

TEST_CASE("a hand at the same band stops what is being sent") {
  Evening evening(tests::linked_target());
  evening.run(1.0);
  evening.log({cut(2631.0, 8.0, -12.0)});
  evening.run(0.4);
  evening.console.set_by_hand({Kind::kDepth, 0}, 3.0);
  const int sets = evening.console.sets();
  evening.run(2.0);
  CHECK(evening.console.sets() <= sets + 1);  // one may be on its way
  CHECK(evening.talk.reports()[0].state == State::kStopped);
  CHECK(evening.talk.reports()[0].why == "band 1 was moved by a hand");
}

TEST_CASE("a band that a hand moved just before the key is not sent over") {
  Evening evening(tests::linked_target());
  evening.run(2.0);
  evening.log({cut(2631.0, 8.0, -3.0)});
  evening.run(1.5);
  evening.console.set_by_hand({Kind::kDepth, 0}, -12.0);
  evening.log({cut(2631.0, 8.0, -6.0)});  // -6 dB would raise what stands at -12 dB
  evening.run(3.0);
  CHECK(evening.console.bands()[0].depth_db == doctest::Approx(-12.0).epsilon(1e-3));
  CHECK(evening.highest_db <= 0.1);
}

TEST_CASE("a console that does not answer is believed flat when the engineer says so") {
  Evening evening(mute_target());
  evening.run(0.5);
  SUBCASE("said") {
    evening.talk.assume_flat();
    evening.log({cut(2631.0, 8.0, -6.0)});
    evening.run(1.0);
    CHECK(evening.talk.reports()[0].state == State::kSent);
    CHECK(evening.console.bands()[0].depth_db == doctest::Approx(-6.0).epsilon(1e-3));
    CHECK(evening.steepest_db <= 1.001);
    evening.log({});  // and from now on a hand is at this band
    evening.run(0.5);
    evening.log({cut(2700.0, 8.0, -6.0)});
    evening.run(1.0);
    CHECK(evening.console.bands()[1].depth_db == doctest::Approx(-6.0).epsilon(1e-3));
  }
  SUBCASE("not said") {
    evening.log({cut(2631.0, 8.0, -6.0)});
    evening.run(1.0);
    CHECK(evening.talk.reports()[0].state == State::kByHand);
    CHECK(evening.talk.reports()[0].why == "where the console's bands stand is not known");
    CHECK(evening.console.sets() == 0);
  }
}

TEST_CASE("a console that rounds is still confirmed") {
  Evening evening(tests::linked_target());
  evening.console.round_to(1.0 / 120.0);  // steps of 0.25 dB, and a twelfth of an octave
  evening.run(1.0);
  evening.log({cut(2631.0, 8.0, -6.0)});
  evening.run(3.0);
  CHECK(evening.talk.reports()[0].state == State::kConfirmed);
}

TEST_CASE("a link that drops is noticed within two seconds, and nothing is sent later") {
  Evening evening(tests::linked_target());
  evening.run(1.0);
  evening.log({cut(2631.0, 8.0, -12.0)});
  evening.run(0.3);
  evening.console.is_on = false;
  double gone_s = 0.0;
  while (evening.talk.is_alive(evening.now_s)) {
    evening.run(0.01);
    gone_s += 0.01;
  }
  CHECK(gone_s <= 2.0);
  CHECK(!evening.talk.fader_db(evening.now_s));
  evening.log({cut(2631.0, 8.0, -12.0), cut(400.0, 4.0, -3.0)});
  evening.run(0.5);
  const int sets = evening.console.sets();
  evening.console.is_on = true;
  evening.run(3.0);
  CHECK(evening.talk.is_alive(evening.now_s));
  CHECK(evening.console.sets() == sets);
  REQUIRE(evening.talk.reports().size() == 2);
  CHECK(evening.talk.reports()[0].state == State::kStopped);
  CHECK(evening.talk.reports()[1].state == State::kByHand);
  evening.console.set_by_hand({Kind::kFrequency, 1}, 400.0);
  evening.console.set_by_hand({Kind::kQ, 1}, 4.0);
  evening.console.set_by_hand({Kind::kDepth, 1}, -3.0);
  evening.run(3.0);
  CHECK(evening.talk.reports()[1].state == State::kConfirmed);
}

TEST_CASE("numbers that a scale does not have change nothing") {
  Evening evening(tests::linked_target());
  evening.run(1.0);
  for (const double number : {std::numeric_limits<double>::quiet_NaN(),
                              std::numeric_limits<double>::infinity(),
                              -1.0,
                              1e9}) {
    evening.talk.hear(LinkPart{Kind::kFader, 0}, number, evening.now_s);
    evening.talk.hear(LinkPart{Kind::kDepth, 2}, number, evening.now_s);
  }
  CHECK(*evening.talk.fader_db(evening.now_s) == doctest::Approx(-10.0));
  CHECK(evening.talk.bands().is_flat(2));
}
