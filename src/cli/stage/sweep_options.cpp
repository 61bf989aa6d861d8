#include "cli/stage/sweep_options.h"

#include "cli/option_checks.h"
#include "cli/output.h"
#include "io/live/play_memory.h"

namespace brink::cli {
namespace {

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

void add_known(CLI::App& command, SweepOptions& options) {
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

void add_live(CLI::App& command, SweepOptions& options) {
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

void add_simulation(CLI::App& command, SweepOptions& options) {
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

void add_kept(CLI::App& command, SweepOptions& options) {
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

void add_sweep_options(CLI::App& command, SweepOptions& options) {
  options.parsed = &command;
  add_live(command, options);
  add_known(command, options);
  add_simulation(command, options);
  add_kept(command, options);
  command.add_option("--target", options.target, "The equaliser, as for brink plan")
      ->type_name("NAME|FILE")
      ->capture_default_str();
  add_sound_option(command, options.sound);
  command
      .add_option("--response",
                  options.response,
                  "Write the loop's response here, for plan "
                  "--loop")
      ->type_name("FILE")
      ->check(not_empty());
  add_replace_flag(command, options.replaces);
  command.add_option("--format", options.format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command.footer(kExamples);
}

}  // namespace brink::cli
