#include "support/stage_evening.h"

#include <algorithm>
#include <array>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "base/units.h"
#include "cuts/appraise.h"
#include "desk/loop_colour.h"
#include "loop/open_loop.h"

namespace brink::tests {
namespace {

constexpr std::size_t kBlock = 480;  // 10 ms
constexpr double kMostS = 240.0;     // more than seven rounds take

void require(bool is_so, const char* what) {
  if (!is_so) {
    throw std::runtime_error(what);
  }
}

}  // namespace

loop::Scene flat_wedge_scene(std::uint64_t seed) {
  loop::SceneOptions options;
  options.room.seed = seed;
  options.gain_db = loop::Lines{0.0};
  options.programme.kind = loop::ProgrammeKind::kPinkNoise;
  options.programme.level_dbfs = -65.0;  // the people on stage were asked to be quiet
  options.programme.seed = seed;
  return loop::build_scene(options);
}

loop::Scene wedge_scene(std::uint64_t seed) {
  loop::Scene scene = flat_wedge_scene(seed);
  desk::colour_loop(scene.stage, seed);
  return scene;
}

StageEvening::StageEvening(loop::Scene scene, const char* target, const Options& options)
    : options_(options),
      scene_(std::move(scene)),
      stage_(scene_.stage),
      programme_(scene_.programme),
      listener_(1, kRateHz) {
  show::ShowRecord show;
  show.key = "00112233445566778899aabbccddeeff";
  flow = show::RingOut(show, options.config);
  flow.add_output({"wedge 1", "vocal", "centre stage", target});
  for (std::size_t point = 0; point < show::prepare_points().size(); ++point) {
    flow.tick(point, true);
  }
  flow.set_fader_db(-8.0);
}

/// A line-up tone that is raised in a straight line of dB. Nothing in it differs from a ring.
double StageEvening::tone_at(double time_s) const {
  const bool is_on = (time_s > 2.0 && time_s < 8.0) || (time_s > 20.0 && time_s < 26.0);
  if (!is_on || !options_.has_tone) {
    return 0.0;
  }
  const double since_s = time_s < 8.0 ? time_s - 2.0 : time_s - 20.0;
  const double level_db = std::min(-90.0 + 40.0 * since_s, -35.0);
  return base::db_to_amplitude(level_db) * std::sin(2.0 * std::numbers::pi * kToneHz * time_s);
}

bool StageEvening::is_to_stop() const {
  if (options_.most_rounds > 0) {
    return static_cast<int>(made.size()) >= options_.most_rounds;
  }
  return flow.advice().kind == show::Advice::Kind::kStop;
}

void StageEvening::ring_out() {
  double quiet_s = 0.0;
  while (time_s_ < kMostS && !is_to_stop()) {
    listen();
    const auto offered = flow.offered();
    if (!offered.empty() && offered[0].is_certain) {
      if (is_to_stop()) {
        break;  // the advice comes as soon as the ring is caught; the ring is left alone
      }
      quiet_s = 0.0;
      deal_with(offered[0]);
      continue;
    }
    quiet_s += kBlock / kRateHz;
    if (flow.phase() == show::Phase::kCheck && quiet_s > 3.0) {
      flow.mark_returned(flow.output()->rounds.size() - 1);  // the ring does not fade
    } else if (flow.phase() != show::Phase::kCheck && quiet_s > 1.5) {
      flow.step_fader_db(kStepDb);
      quiet_s = 0.0;
    }
  }
}

double StageEvening::stable_gain_db() const {
  return loop::max_stable_gain_db(loop::OpenLoop{
      loop::loop_taps(scene_.stage, 0.0), cuts::to_sections(flow.cuts(), kRateHz), kRateHz});
}

void StageEvening::listen() {
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
  for (const detector::RingEvent& one : listener_.events()) {
    show::SessionEvent event = teller_.tell({one.sample, 1, 1, one.ring, {}});
    event.wall = now();
    flow.on_event(event);
  }
  listener_.clear_events();
  flow.on_sound({time_s_, listener_.monitor().level().peak_dbfs, true});
}

void StageEvening::deal_with(const show::OfferedRing& ring) {
  if (options_.has_tone && std::abs(ring.ring.frequency_hz - kToneHz) < 2.0) {
    ++dismiss_count;
    require(flow.dismiss(ring.id, "line-up tone", now()), "the tone could not be dismissed");
    return;
  }
  show::Advice advice = flow.advice();
  if (!flow.log_cut(ring.id)) {
    require(flow.let_go(ring.id), "a ring can neither be cut nor let go");
    return;
  }
  if (undo_count == 0) {  // undoes one cut, as after a mistake
    ++undo_count;
    require(flow.undo() && flow.output()->cuts.empty(), "the cut could not be undone");
    require(flow.log_cut(ring.id), "the cut could not be logged again");
  }
  require(stage_.set_equaliser(cuts::to_sections(flow.cuts(), kRateHz)), "too many sections");
  made.push_back(
      {stable_gain_db(), cuts::mean_level_lost_db(flow.cuts(), kRateHz), std::move(advice)});
}

}  // namespace brink::tests
