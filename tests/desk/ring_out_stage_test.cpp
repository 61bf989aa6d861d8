// Rings out simulated stages as an engineer would, with nothing but what a face has: events, the
// list of offered rings, and the advice. The loop's own transfer function says what was won.

#include <doctest/doctest.h>

#include <string>

#include "cuts/setting.h"
#include "support/stage_evening.h"

using namespace brink;
using show::Advice;
using show::RingOut;
using tests::StageEvening;

TEST_CASE(
    "a stage is rung out from flat: rounds, an undo, a dismissal, and 3 dB more stable gain") {
  for (const std::string target : {"parametric", "parametric-4", "third-octave"}) {
    CAPTURE(target);
    StageEvening evening(tests::wedge_scene(3), target.c_str());
    RingOut& flow = evening.flow;
    CHECK(std::abs(evening.stable_gain_db()) < 0.01);  // flat, the brink is at 0 dB
    evening.ring_out();
    const Advice advice = flow.advice();
    CHECK(advice.kind == Advice::Kind::kStop);
    CHECK(flow.back_off());
    const show::OutputRecord& output = *flow.output();
    CHECK(show::round_count(output) >= 3);
    CHECK(output.advice == advice.reason);
    CHECK(evening.undo_count == 1);

    const double stable_db = evening.stable_gain_db();
    MESSAGE(target << ": " << stable_db << " dB more stable gain, "
                   << cuts::mean_level_lost_db(flow.cuts(), StageEvening::kRateHz) << " dB lost");
    CHECK(stable_db >= 3.0);
    // What the rounds say of themselves is no more than that: the cut of a round that nothing came
    // back after is not counted, and a ring takes up to two steps and a half of the fader to be
    // certain, at the start as at the end.
    const double won_db = show::gain_won_db(output).value_or(0.0);
    CHECK(won_db > 0.0);
    CHECK(won_db <= stable_db + 2.5 * StageEvening::kStepDb);
    // Backed off, the loop is stable, and nothing rings; the tone that comes again is not offered.
    CHECK(flow.fader_db().value_or(99.0) <=
          stable_db - show::RingOut::kBackOffDb + 2.5 * StageEvening::kStepDb);
    evening.listen_for(5.0);
    evening.listen_until(27.0);
    CHECK(evening.dismiss_count == 1);
    CHECK(flow.offered().empty());        // what was left when it was time to stop is over with it
    CHECK(evening.level_dbfs() < -50.0);  // the programme is at -65 dBFS
    flow.see_faders(std::vector{flow.fader_db()});
    evening.listen_for(RingOut::kCheckS + 1.0);
    CHECK(flow.check_obstacle().empty());
    CHECK(flow.log_last_check(evening.now()));
    CHECK(flow.record().check->rang_hz.empty());
  }
}

// One room proves little; these are the 14 of the log, whatever they win (docs/log.md).
TEST_CASE("the advice followed, rooms win 3 dB on average, and none loses") {
  constexpr std::uint64_t kRooms = 14;
  double sum_db = 0.0;
  for (std::uint64_t room = 1; room <= kRooms; ++room) {
    CAPTURE(room);
    StageEvening::Options options;
    options.has_tone = false;
    StageEvening evening(tests::wedge_scene(room), "parametric", options);
    evening.ring_out();
    CHECK(evening.stable_gain_db() > 0.0);
    sum_db += evening.stable_gain_db();
  }
  MESSAGE((sum_db / kRooms) << " dB on average");
  CHECK(sum_db / kRooms >= 3.0);
}
