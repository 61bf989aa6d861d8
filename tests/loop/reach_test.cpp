#include "loop/reach.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "base/error.h"

using namespace brink::loop;
using brink::base::Error;

namespace {

// Worked example of G. Ballou (ed.), Handbook for Sound Engineers, chapter 34, eqs 34-21 to 34-24;
// feet.
ReachSetup handbook_hall() {
  ReachSetup setup;
  setup.talker_to_microphone = 2.0;
  setup.talker_to_listener = 128.0;
  setup.microphone_to_loudspeaker = 45.0;
  setup.loudspeaker_to_listener = 90.0;
  setup.critical_distance = 31.2;
  setup.open_microphones = 3;
  setup.good_hearing = 4.0;
  return setup;
}

// Worked example of JBL Professional, Sound System Design Reference Manual, chapter 4; metres.
ReachSetup manual_outdoors() {
  ReachSetup setup;
  setup.talker_to_microphone = 1.0;
  setup.talker_to_listener = 7.0;
  setup.microphone_to_loudspeaker = 4.0;
  setup.loudspeaker_to_listener = 6.0;
  setup.good_hearing = 3.0;
  return setup;
}

const MoveGain& find(const Reach& reach, Move move) {
  for (const MoveGain& gain : reach.moves) {
    if (gain.move == move) {
      return gain;
    }
  }
  throw Error{"no such move"};
}

}  // namespace

TEST_CASE("the handbook's hall: 11.7 dB of 17.7 dB, it feeds back") {
  const Reach hall = reach(handbook_hall());
  // Printed to one decimal from rounded steps.
  CHECK(std::abs(hall.potential_db - 11.7) < 0.1);
  CHECK(std::abs(hall.needed_db - 17.7) < 0.1);
  CHECK_FALSE(hall.works);
  // Its critical distance: Q 5, 28 000 square feet, absorption 0.35.
  CHECK(critical_distance_from_room_constant(28000.0 * 0.35, 5.0) ==
        doctest::Approx(31.2).epsilon(2e-3));
}

TEST_CASE("the manual's example outdoors: 7.5 dB of 7.5 dB, it just works") {
  const Reach outdoors = reach(manual_outdoors());
  // The manual rounds each logarithm to half a dB.
  CHECK(std::abs(outdoors.potential_db - 7.5) < 0.2);
  CHECK(std::abs(outdoors.needed_db - 7.5) < 0.2);
  CHECK(outdoors.works);
  // Same source: a listener who needs to hear as at 1.5 m asks for 6 dB more; half the microphone
  // distance gives 6 dB.
  ReachSetup nearer = manual_outdoors();
  nearer.good_hearing = 1.5;
  CHECK(reach(nearer).needed_db - outdoors.needed_db == doctest::Approx(6.02).epsilon(1e-3));
  CHECK(find(outdoors, Move::kCloserMicrophone).gain_db == doctest::Approx(6.02).epsilon(1e-3));
}

// Source: 10 log10 of the number of open microphones, same handbook; each doubling costs 3 dB.
TEST_CASE("open microphones cost 3 dB per doubling") {
  const double one = reach(manual_outdoors()).potential_db;
  for (const auto& [count, cost_db] :
       {std::pair{2, 3.01}, std::pair{4, 6.02}, std::pair{8, 9.03}}) {
    ReachSetup setup = manual_outdoors();
    setup.open_microphones = count;
    CHECK(one - reach(setup).potential_db == doctest::Approx(cost_db).epsilon(1e-3));
  }
}

TEST_CASE("each move's gain is what the new setup has to spare, the best move first") {
  const ReachSetup before = handbook_hall();
  const Reach hall = reach(before);
  REQUIRE(hall.moves.size() == 4);
  for (std::size_t at = 1; at < hall.moves.size(); ++at) {
    CHECK(hall.moves[at - 1].gain_db >= hall.moves[at].gain_db);
  }
  ReachSetup closer = before;
  closer.talker_to_microphone = 1.0;
  CHECK(find(hall, Move::kCloserMicrophone).to == 1.0);
  CHECK(reach(closer).spare_db - hall.spare_db ==
        doctest::Approx(find(hall, Move::kCloserMicrophone).gain_db));
  ReachSetup fewer = before;
  fewer.open_microphones = 2;
  CHECK(reach(fewer).spare_db - hall.spare_db ==
        doctest::Approx(find(hall, Move::kFewerMicrophones).gain_db));
  CHECK_FALSE(find(hall, Move::kFewerMicrophones).enough.has_value());  // 4.8 dB of the 6 missing
  // What is enough is just enough.
  ReachSetup enough = before;
  enough.talker_to_microphone = *find(hall, Move::kCloserMicrophone).enough;
  CHECK(reach(enough).spare_db == doctest::Approx(0.0).epsilon(1e-6));
  CHECK(find(reach(manual_outdoors()), Move::kCloserListener).enough ==
        std::nullopt);  // works already
}

TEST_CASE("one open microphone leaves none to close") {
  CHECK(reach(manual_outdoors()).moves.size() == 3);
}

TEST_CASE("metres and feet give the same decibels") {
  ReachSetup feet = handbook_hall();
  ReachSetup metres = feet;
  for (double* distance : {&metres.talker_to_microphone,
                           &metres.talker_to_listener,
                           &metres.microphone_to_loudspeaker,
                           &metres.loudspeaker_to_listener,
                           &metres.good_hearing,
                           &*metres.critical_distance}) {
    *distance *= 0.3048;
  }
  CHECK(reach(metres).spare_db == doctest::Approx(reach(feet).spare_db));
}

TEST_CASE("far beyond the critical distance a room levels everything out") {
  ReachSetup setup = manual_outdoors();
  setup.critical_distance = 0.01;
  CHECK(std::abs(reach(setup).needed_db) < 0.01);
  setup.critical_distance = 10000.0;
  CHECK(reach(setup).potential_db ==
        doctest::Approx(reach(manual_outdoors()).potential_db).epsilon(1e-5));
}

TEST_CASE("nonsense is refused with the field named") {
  ReachSetup setup = manual_outdoors();
  setup.talker_to_microphone = -1.0;
  CHECK_THROWS_WITH_AS(
      (void)reach(setup), "talker to microphone must be above 0 and at most 10000; got -1.", Error);
  setup = manual_outdoors();
  setup.loudspeaker_to_listener = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_WITH_AS((void)reach(setup),
                       "loudspeaker to listener must be above 0 and at most 10000; got nan.",
                       Error);
  setup = manual_outdoors();
  setup.talker_to_listener = 40.0;
  CHECK_THROWS_WITH_AS(
      (void)reach(setup),
      "talker to listener cannot be 40: the other three distances together reach only 11.",
      Error);
  setup = manual_outdoors();
  setup.open_microphones = 0;
  CHECK_THROWS_WITH_AS(
      (void)reach(setup), "number of open microphones must be 1 to 64; got 0.", Error);
  setup = manual_outdoors();
  setup.critical_distance = 0.0;
  CHECK_THROWS_AS((void)reach(setup), Error);
  setup = manual_outdoors();
  setup.margin_db = -3.0;
  CHECK_THROWS_WITH_AS((void)reach(setup), "margin must be 0 to 20; got -3.", Error);
  CHECK_THROWS_AS((void)critical_distance_from_t60_m(-1.0, 1.0, 1.0), Error);
}
