#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/units.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/stage/sweep_options.h"
#include "cli/stage/sweep_take.h"
#include "desk/sweep/stage_sweep_way.h"
#include "desk/target_library.h"
#include "io/live/play_memory.h"
#include "io/whole_sound.h"
#include "loop/scene.h"
#include "report/sweep_report.h"
#include "show/kept_target.h"

namespace brink::cli {
namespace {

constexpr double kLongestImpulseS = 20.0;

report::SweepKnowledge known_of(const SweepOptions& options) {
  report::SweepKnowledge known;
  if (options.has("--console-delay")) {
    known.console_delay_s = options.console_delay_ms / 1000.0;
  }
  if (options.has("--console-gain")) {
    known.console_gain_db = options.console_gain_db;
  }
  if (options.has("--distance")) {
    known.distance_m = options.distance_m;
  }
  return known;
}

report::SweepReport from_impulse(const SweepOptions& options) {
  const io::Sound sound = io::read_sound(options.impulse, kLongestImpulseS);
  report::SweepReport report;
  report.from = "impulse";
  report.known = known_of(options);
  loop::MeasuredLoop& loop = report.loop;
  loop.sample_rate_hz = sound.sample_rate_hz;
  loop.taps.assign(sound.samples.begin(), sound.samples.end());
  loop.starts_s = 0.0;
  loop.direct_s = loop::first_sound_s(loop.taps, loop.sample_rate_hz);
  loop.change_db = base::kSilenceDb;
  return report;
}

report::SweepReport from_stage(const SweepOptions& options) {
  StageWords words = options.stage;
  words.distance_m = options.has("--distance") ? options.distance_m : words.distance_m;
  const loop::Scene scene = loop::build_scene(to_scene(words));
  desk::SweepTake take;
  take.signal = desk::stage_signal(options.live.signal, scene);
  take.heard = desk::hear_sweep_on_stage(scene, take.signal, options.level_dbfs);
  take.latency_s = 0.0;
  report::SweepReport report;
  report.from = "stage";
  report.level_dbfs = options.level_dbfs;
  report.known = known_of(options);
  report.known.distance_m.reset();  // the simulation's own time is exact
  if (!report.known.console_delay_s) {
    report.known.console_delay_s = scene.stage.console_delay_s;
  }
  report.loop = desk::measure(take);
  return report;
}

report::SweepReport from_sweep(const SweepOptions& options) {
  const desk::SweepTake take = take_sweep(options.live, options.level_dbfs);
  report::SweepReport report;
  report.from = "sweep";
  report.level_dbfs = take.level_dbfs;
  report.known = known_of(options);
  report.loop = desk::measure(take);
  return report;
}

void check(const SweepOptions& options) {
  if (!options.impulse.empty() && options.is_from_stage) {
    throw base::Error("--impulse and --from-stage are two different loops; take one of them.");
  }
  if (options.level_dbfs > options.ceiling_dbfs) {
    throw base::Error(
        fmt::format("--level {:g} is over the ceiling of {:g} dBFS; --ceiling moves it, to {:g} at "
                    "most.",
                    options.level_dbfs,
                    options.ceiling_dbfs,
                    io::kPlayCeilingDbfs));
  }
}

SweepPlace place_of(const SweepOptions& options) {
  SweepPlace place = options.kept;
  if (place.output.empty()) {
    place.output = options.live.output.empty() ? "output" : options.live.output;
  }
  return place;
}

int answer(const SweepOptions& options) {
  check(options);
  cuts::Target target = desk::load_target(options.target);
  // Opened first: a place that is refused must not cost a sweep.
  std::optional<Output> response;
  if (!options.response.empty()) {
    response.emplace(options.response,
                     io::ReplaceRule{{report::kSweepResponseBeginning},
                                     options.replaces,
                                     {options.impulse, options.stage.room_file, options.target}});
  }
  report::SweepReport report = !options.impulse.empty() ? from_impulse(options)
                               : options.is_from_stage  ? from_stage(options)
                                                        : from_sweep(options);
  const auto made_at = std::chrono::system_clock::now();
  report.plan.target = std::move(target);
  report.plan.sample_rate_hz = report.loop.sample_rate_hz;
  report.plan.sound = to_sound(options.sound);
  report::finish_sweep_report(report);
  if (response) {
    (void)response->write(report::sweep_response_text(report));
    response->finish();
  }
  Output screen{""};
  (void)screen.write(options.format == "json" ? report::sweep_json(report)
                                              : report::sweep_text(report));
  screen.finish();
  if (!options.kept.book.empty()) {
    keep_sweep(place_of(options), report, made_at);
  }
  return kDone;
}

/// An interrupted sweep returns the status that shells expect after a signal.
int answer_or_stop(const SweepOptions& options) {
  try {
    return answer(options);
  } catch (const base::Error& error) {
    if (interrupt_signal() == 0) {
      throw;
    }
    say(error.what());
    return 128 + interrupt_signal();
  }
}

}  // namespace

void add_sweep(CLI::App& app, Work& work) {
  const auto options = std::make_shared<SweepOptions>();
  CLI::App* const command = app.add_subcommand(
      "sweep", "Measure a loop quietly: what would ring first, and the cuts against it");
  add_sweep_options(*command, *options);
  command->callback([options, &work] { work = [options] { return answer_or_stop(*options); }; });
}

}  // namespace brink::cli
