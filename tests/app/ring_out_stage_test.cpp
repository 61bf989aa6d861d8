// Rings out simulated stages as an engineer would, with nothing but what a face has: events, the
// list of offered rings, and the advice. The loop's own transfer function says what was won.

#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <cmath>
#include <numbers>
#include <string>

#include "app/cut_record.h"
#include "app/ring_out.h"
#include "app/tap_listener.h"
#include "core/units.h"
#include "loop/open_loop.h"
#include "loop/scene.h"

using namespace brink;
using app::Advice;
using app::RingOut;

namespace {

constexpr double kRateHz = 48000.0;
constexpr std::size_t kBlock = 480;  // 10 ms
constexpr double kToneHz = 440.0;
constexpr double kStepDb = 0.5;

loop::Scene wedge_scene(std::uint64_t seed) {
  loop::SceneOptions options;
  options.room.seed = seed;
  options.gain_db = loop::Lines{0.0};
  options.programme.kind = loop::ProgrammeKind::kPinkNoise;
  options.programme.level_dbfs = -65.0;  // a stage that is asked to be quiet
  options.programme.seed = seed;
  return loop::build_scene(options);
}

/// A line-up tone that is brought up in a straight line: nothing in it tells it from a ring.
double tone_at(double time_s) {
  const bool is_on = (time_s > 2.0 && time_s < 8.0) || (time_s > 20.0 && time_s < 26.0);
  if (!is_on) {
    return 0.0;
  }
  const double since_s = time_s < 8.0 ? time_s - 2.0 : time_s - 20.0;
  const double level_db = std::min(-90.0 + 40.0 * since_s, -35.0);
  return core::db_to_amplitude(level_db) * std::sin(2.0 * std::numbers::pi * kToneHz * time_s);
}

/// The stage, its one tap, and the engineer.
class Evening {
 public:
  Evening(std::uint64_t seed, const char* target)
      : scene_(wedge_scene(seed)),
        stage_(scene_.stage),
        programme_(scene_.programme),
        listener_(1, kRateHz) {
    io::ShowRecord show;
    show.key = "00112233445566778899aabbccddeeff";
    flow = RingOut(show);
    flow.add_output({"wedge 1", "vocal", "centre stage", target});
    for (std::size_t point = 0; point < app::prepare_points().size(); ++point) {
      flow.tick(point, true);
    }
    flow.set_fader_db(-8.0);
  }

  /// Up by steps until something is certain; cut; and on, until the advice is to stop.
  void ring_out() {
    double quiet_s = 0.0;
    while (time_s_ < 240.0 && flow.advice().kind != Advice::Kind::kStop) {
      listen();
      const auto offered = flow.offered();
      if (!offered.empty() && offered[0].is_certain) {
        quiet_s = 0.0;
        deal_with(offered[0]);
        continue;
      }
      quiet_s += kBlock / kRateHz;
      if (flow.phase() == app::Phase::kCheck && quiet_s > 3.0) {
        flow.mark_returned(flow.output()->rounds.size() - 1);  // it does not fade
      } else if (flow.phase() != app::Phase::kCheck && quiet_s > 1.5) {
        flow.step_fader_db(kStepDb);
        quiet_s = 0.0;
      }
    }
  }

  void listen_for(double length_s) { listen_until(time_s_ + length_s); }

  void listen_until(double end_s) {
    while (time_s_ < end_s) {
      listen();
    }
  }

  [[nodiscard]] RingOut::TimeOfDay now() const {
    return RingOut::TimeOfDay(std::chrono::seconds(1'800'000'000)) +
           std::chrono::milliseconds(std::lround(1000.0 * time_s_));
  }

  /// Stable gain of the true loop with the equaliser as it is, the fader at 0 dB.
  [[nodiscard]] double stable_gain_db() const {
    return loop::max_stable_gain_db(loop::OpenLoop{
        loop::loop_taps(scene_.stage, 0.0), cuts::to_sections(flow.cuts(), kRateHz), kRateHz});
  }

  [[nodiscard]] double level_dbfs() const { return listener_.monitor().level().rms_dbfs; }

  RingOut flow{io::ShowRecord{}};
  int undo_count = 0;
  int dismiss_count = 0;

 private:
  void listen() {
    std::array<float, kBlock> block{};
    programme_.fill(block);
    for (std::size_t n = 0; n < kBlock; ++n) {
      block[n] += static_cast<float>(tone_at(time_s_ + static_cast<double>(n) / kRateHz));
    }
    stage_.set_fader_db(flow.fader_db().value_or(-60.0));
    std::array<float, kBlock> tap{};
    stage_.process(block, tap);
    time_s_ += kBlock / kRateHz;
    listener_.push(tap);
    for (app::SessionEvent event : listener_.events()) {
      event.wall = now();
      flow.on_event(event);
    }
    listener_.clear_events();
  }

  void deal_with(const app::OfferedRing& ring) {
    if (std::abs(ring.ring.frequency_hz - kToneHz) < 2.0) {
      ++dismiss_count;
      REQUIRE(flow.dismiss(ring.id, "line-up tone", now()));
      return;
    }
    REQUIRE(flow.log_cut(ring.id));
    if (undo_count == 0) {  // a slip of the finger
      ++undo_count;
      REQUIRE(flow.undo());
      REQUIRE(flow.output()->cuts.empty());
      REQUIRE(flow.log_cut(ring.id));
    }
    REQUIRE(stage_.set_equaliser(cuts::to_sections(flow.cuts(), kRateHz)));
  }

  loop::Scene scene_;
  loop::Stage stage_;
  loop::Programme programme_;
  app::TapListener listener_;
  double time_s_ = 0.0;
};

}  // namespace

// Room 3 of the rooms of the log: what seven rounds win depends on the room, 1 to 5 dB.
TEST_CASE(
    "a stage is rung out from flat: rounds, an undo, a dismissal, and 3 dB more stable gain") {
  for (const std::string target : {"parametric", "parametric-4", "third-octave"}) {
    CAPTURE(target);
    Evening evening(3, target.c_str());
    RingOut& flow = evening.flow;
    CHECK(std::abs(evening.stable_gain_db()) < 0.01);  // flat, the brink is at 0 dB
    evening.ring_out();
    const Advice advice = flow.advice();
    CHECK(advice.kind == Advice::Kind::kStop);
    CHECK(flow.back_off());
    const io::OutputRecord& output = *flow.output();
    CHECK(app::round_count(output) >= 3);
    CHECK(output.advice == advice.reason);
    CHECK(evening.undo_count == 1);

    const double stable_db = evening.stable_gain_db();
    MESSAGE(target << ": " << stable_db << " dB more stable gain, "
                   << cuts::mean_level_lost_db(flow.cuts(), kRateHz) << " dB lost");
    CHECK(stable_db >= 3.0);
    // What the rounds say of themselves is no more than that: the cut of a round that nothing came
    // back after is not counted, and a ring takes up to two steps and a half of the fader to be
    // certain, at the start as at the end.
    const double won_db = app::gain_won_db(output).value_or(0.0);
    CHECK(won_db > 0.0);
    CHECK(won_db <= stable_db + 2.5 * kStepDb);
    // Backed off, the loop is stable, and nothing rings; the tone that comes again is not offered.
    CHECK(flow.fader_db().value_or(99.0) <= stable_db - app::RingOut::kBackOffDb + 2.5 * kStepDb);
    evening.listen_for(5.0);
    evening.listen_until(27.0);
    CHECK(evening.dismiss_count == 1);
    for (const app::OfferedRing& ring : flow.offered()) {
      CHECK(ring.ring.state == core::RingState::kGone);  // left when it was time to stop
    }
    CHECK(evening.level_dbfs() < -50.0);  // the programme is at -65 dBFS
    CHECK(flow.log_last_check(evening.now()));
  }
}
