#include <fmt/format.h>

#include <CLI/CLI.hpp>
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
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/sound_choice.h"
#include "cli/stage/stage_options.h"
#include "cli/stage/sweep_book.h"
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

struct SweepCommand {
  std::string impulse;
  bool is_from_stage = false;
  desk::LiveSweepOptions live;
  double level_dbfs = desk::kFirstSweepDbfs;
  double ceiling_dbfs = desk::kSweepCeilingDbfs;
  double console_delay_ms = 0.0;
  double console_gain_db = 0.0;
  double distance_m = 0.0;
  StageWords stage;
  std::string target = "parametric";
  std::string sound = kDefaultSound;
  std::string format = "text";
  std::string response;
  bool replaces = false;
  SweepPlace kept;
  CLI::App* parsed = nullptr;

  [[nodiscard]] bool has(const char* option) const { return parsed->count(option) > 0; }
};

report::SweepKnowledge known_of(const SweepCommand& command) {
  report::SweepKnowledge known;
  if (command.has("--console-delay")) {
    known.console_delay_s = command.console_delay_ms / 1000.0;
  }
  if (command.has("--console-gain")) {
    known.console_gain_db = command.console_gain_db;
  }
  if (command.has("--distance")) {
    known.distance_m = command.distance_m;
  }
  return known;
}

report::SweepReport from_impulse(const SweepCommand& command) {
  const io::Sound sound = io::read_sound(command.impulse, kLongestImpulseS);
  report::SweepReport report;
  report.from = "impulse";
  report.known = known_of(command);
  loop::MeasuredLoop& loop = report.loop;
  loop.sample_rate_hz = sound.sample_rate_hz;
  loop.taps.assign(sound.samples.begin(), sound.samples.end());
  loop.starts_s = 0.0;
  loop.direct_s = loop::first_sound_s(loop.taps, loop.sample_rate_hz);
  loop.change_db = base::kSilenceDb;
  return report;
}

report::SweepReport from_stage(const SweepCommand& command) {
  StageWords words = command.stage;
  words.distance_m = command.has("--distance") ? command.distance_m : words.distance_m;
  const loop::Scene scene = loop::build_scene(to_scene(words));
  desk::SweepTake take;
  take.signal = desk::stage_signal(command.live.signal, scene);
  take.heard = desk::hear_sweep_on_stage(scene, take.signal, command.level_dbfs);
  take.latency_s = 0.0;
  report::SweepReport report;
  report.from = "stage";
  report.level_dbfs = command.level_dbfs;
  report.known = known_of(command);
  report.known.distance_m.reset();  // the simulation's own time is exact
  if (!report.known.console_delay_s) {
    report.known.console_delay_s = scene.stage.console_delay_s;
  }
  report.loop = desk::measure(take);
  return report;
}

report::SweepReport from_sweep(const SweepCommand& command) {
  const desk::SweepTake take = take_sweep(command.live, command.level_dbfs);
  report::SweepReport report;
  report.from = "sweep";
  report.level_dbfs = take.level_dbfs;
  report.known = known_of(command);
  report.loop = desk::measure(take);
  return report;
}

void check(const SweepCommand& command) {
  if (!command.impulse.empty() && command.is_from_stage) {
    throw base::Error("--impulse and --from-stage are two different loops; take one of them.");
  }
  if (command.level_dbfs > command.ceiling_dbfs) {
    throw base::Error(
        fmt::format("--level {:g} is over the ceiling of {:g} dBFS; --ceiling moves it, to {:g} at "
                    "most.",
                    command.level_dbfs,
                    command.ceiling_dbfs,
                    io::kPlayCeilingDbfs));
  }
}

SweepPlace place_of(const SweepCommand& command) {
  SweepPlace place = command.kept;
  if (place.output.empty()) {
    place.output = command.live.output.empty() ? "output" : command.live.output;
  }
  return place;
}

int answer(const SweepCommand& command) {
  check(command);
  cuts::Target target = desk::load_target(command.target);
  // Opened first: a place that is refused must not cost a sweep.
  std::optional<Output> response;
  if (!command.response.empty()) {
    response.emplace(command.response,
                     io::ReplaceRule{{report::kSweepResponseBeginning},
                                     command.replaces,
                                     {command.impulse, command.stage.room_file, command.target}});
  }
  report::SweepReport report = !command.impulse.empty() ? from_impulse(command)
                               : command.is_from_stage  ? from_stage(command)
                                                        : from_sweep(command);
  const auto made_at = std::chrono::system_clock::now();
  report.plan.target = std::move(target);
  report.plan.sample_rate_hz = report.loop.sample_rate_hz;
  report.plan.sound = to_sound(command.sound);
  report::finish_sweep_report(report);
  if (response) {
    (void)response->write(report::sweep_response_text(report));
    response->finish();
  }
  Output screen{""};
  (void)screen.write(command.format == "json" ? report::sweep_json(report)
                                              : report::sweep_text(report));
  screen.finish();
  if (!command.kept.book.empty()) {
    keep_sweep(place_of(command), report, made_at);
  }
  return kDone;
}

/// An interrupted sweep returns the status that shells expect after a signal.
int answer_or_stop(const SweepCommand& command) {
  try {
    return answer(command);
  } catch (const base::Error& error) {
    if (interrupt_signal() == 0) {
      throw;
    }
    say(error.what());
    return 128 + interrupt_signal();
  }
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink sweep --output \"wedge 1\" --input \"front mic\" --distance 1.5 --console-delay 1.6\n"
    "  brink sweep --impulse measured.wav --console-delay 1.6 --target third-octave\n"
    "  brink sweep --from-stage --room-size 12x8x4 --t60 1.1 --format json\n"
    "  brink sweep --output \"wedge 1\" --book tour.book --venue \"Old Tannery\" --show Friday\n"
    "\n"
    "Live it plays two quiet sweeps on one output and records one microphone, whose way to that\n"
    "output must be shut. It starts on Enter and stops on Enter, Ctrl-C or when stdin ends. A\n"
    "louder sweep is only what --level asks for. docs/sweep.md tells what is measured.\n";

void add_known(CLI::App& command, SweepCommand& options) {
  const std::string group = "What the measurement cannot see";
  command
      .add_option("--console-delay",
                  options.console_delay_ms,
                  "Of console and processors from this microphone to this output, milliseconds")
      ->type_name("MS")
      ->check(number_in(0.0, 500.0))
      ->group(group);
  command
      .add_option("--console-gain",
                  options.console_gain_db,
                  "From this microphone's tap to this output as the faders stand, dB")
      ->type_name("DB")
      ->check(number_in(-150.0, 150.0))
      ->group(group);
  command
      .add_option("--distance",
                  options.distance_m,
                  "Loudspeaker to microphone, metres, where the devices' delay is not known")
      ->type_name("M")
      ->check(number_in(0.05, 200.0))
      ->group(group);
}

void add_live(CLI::App& command, SweepCommand& options) {
  const std::string group = "The sweep";
  command.add_option("--output", options.live.output, "Output to play on, by a part of its name")
      ->type_name("NAME")
      ->group(group);
  command
      .add_option("--output-channel",
                  options.live.output_channel,
                  "Channel of it, from 1; without it the first two alike")
      ->type_name("N")
      ->check(number_in(1, 64))
      ->group(group);
  command.add_option("--input", options.live.input, "Device to record, as 'brink inputs' lists it")
      ->type_name("NAME|NUMBER")
      ->group(group);
  command.add_option("--channel", options.live.channel, "The microphone's channel")
      ->type_name("N")
      ->check(number_in(1, 64))
      ->capture_default_str()
      ->group(group);
  command
      .add_option("--reference",
                  options.live.reference_channel,
                  "A channel of the same input on which what is sent comes back by wire")
      ->type_name("N")
      ->check(number_in(1, 64))
      ->group(group);
  command.add_option("--level", options.level_dbfs, "Peak of the sweep, dBFS")
      ->type_name("DBFS")
      ->check(number_in(-100.0, 0.0))
      ->capture_default_str()
      ->group(group);
  command.add_option("--ceiling", options.ceiling_dbfs, "No level above this is taken, dBFS")
      ->type_name("DBFS")
      ->check(number_in(-100.0, io::kPlayCeilingDbfs))
      ->capture_default_str()
      ->group(group);
  command.add_option("--length", options.live.signal.sweep.length_s, "Of each of the two sweeps")
      ->type_name("S")
      ->check(number_in(1.0, 60.0))
      ->capture_default_str()
      ->group(group);
  command
      .add_option("--decay", options.live.signal.decay_s, "How long the room may ring on, seconds")
      ->type_name("S")
      ->check(number_in(0.2, 20.0))
      ->capture_default_str()
      ->group(group);
}

void add_simulation(CLI::App& command, SweepCommand& options) {
  const std::string group = "Instead of a real one";
  command
      .add_option("--impulse", options.impulse, "A measured impulse response, output to microphone")
      ->type_name("FILE")
      ->check(not_empty())
      ->group(group);
  CLI::Option* const stage =
      command.add_flag("--from-stage", options.is_from_stage, "A simulated stage")->group(group);
  const auto add = [&](const char* name, auto& value, const char* type, const char* help) {
    return command.add_option(name, value, help)
        ->type_name(type)
        ->capture_default_str()
        ->needs(stage)
        ->group(group);
  };
  StageWords& words = options.stage;
  add("--room-size", words.room_size, "LxWxH", "Sides in metres: LENGTHxWIDTHxHEIGHT");
  add("--t60", words.t60_s, "S", "Reverberation time at 500 Hz to 1 kHz, seconds")
      ->check(finite_number());
  add("--room", words.room_file, "FILE", "A measured response instead, travel time removed");
  add("--pattern",
      words.pattern,
      "PATTERN",
      "Microphone: omni, cardioid, supercardioid or "
      "figure-eight");
  add("--angle", words.angle_deg, "DEG", "How far off its axis the microphone sees the wedge")
      ->check(finite_number());
  add("--limit", words.limit_dbfs, "DBFS", "Where the amplifier ends")->check(finite_number());
  add("--noise-floor", words.noise_floor_dbfs, "DBFS", "Of stage and microphone")
      ->check(finite_number());
  add("--seed", words.seed, "N", "Another number, another room")->check(seed_number());
}

void add_kept(CLI::App& command, SweepCommand& options) {
  const std::string group = "Keep it";
  CLI::Option* const book =
      command
          .add_option("--book", options.kept.book, "Log it in this book, as a round of an output")
          ->type_name("FILE")
          ->check(not_empty())
          ->group(group);
  const auto add = [&](const char* name, std::string& value, const char* help) {
    command.add_option(name, value, help)
        ->type_name("NAME")
        ->check(not_empty())
        ->needs(book)
        ->group(group);
  };
  add("--name", options.kept.output, "The output's name there; --output when left out");
  add("--venue", options.kept.venue, "A show in progress of other names is left alone");
  add("--show", options.kept.show, "The same");
}

}  // namespace

void add_sweep(CLI::App& app, Work& work) {
  const auto options = std::make_shared<SweepCommand>();
  CLI::App* const command = app.add_subcommand(
      "sweep", "Measure a loop quietly: what would ring first, and the cuts against it");
  options->parsed = command;
  add_live(*command, *options);
  add_known(*command, *options);
  add_simulation(*command, *options);
  add_kept(*command, *options);
  command->add_option("--target", options->target, "The equaliser, as for brink plan")
      ->type_name("NAME|FILE")
      ->capture_default_str();
  add_sound_option(*command, options->sound);
  command
      ->add_option("--response",
                   options->response,
                   "Write the loop's response here, for plan "
                   "--loop")
      ->type_name("FILE")
      ->check(not_empty());
  add_replace_flag(*command, options->replaces);
  command->add_option("--format", options->format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return answer_or_stop(*options); }; });
}

}  // namespace brink::cli
