#include "cli/stage/stage_options.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <map>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "cli/option_checks.h"
#include "cli/stage/option_numbers.h"
#include "io/whole_sound.h"

namespace brink::cli {
namespace {

loop::BandLimits band(const std::string& text, const char* option) {
  const std::vector<double> edges = numbers(text, '-', 2, option, "two frequencies as LOW-HIGH");
  return {edges[0], edges[1]};
}

void take_rate(loop::SceneOptions& scene, double rate_hz, bool is_fixed, const std::string& path) {
  if (is_fixed && scene.sample_rate_hz != rate_hz) {
    throw base::Error{
        fmt::format("{}: has {:g} Hz, the stage runs at {:g} Hz; give files of one sample rate.",
                    base::printable(path),
                    rate_hz,
                    scene.sample_rate_hz)};
  }
  scene.sample_rate_hz = rate_hz;
}

void set_programme(const StageWords& words, loop::SceneOptions& scene, bool is_rate_fixed) {
  const std::map<std::string, loop::ProgrammeKind> kinds{{"silence", loop::ProgrammeKind::kSilence},
                                                         {"pink", loop::ProgrammeKind::kPinkNoise},
                                                         {"voice", loop::ProgrammeKind::kVoice},
                                                         {"music", loop::ProgrammeKind::kMusic}};
  const auto kind = kinds.find(words.programme);
  loop::ProgrammeConfig& programme = scene.programme;
  programme.level_dbfs = words.level_dbfs;
  programme.noise_floor_dbfs = words.noise_floor_dbfs;
  programme.seed = words.seed;
  if (kind != kinds.end()) {
    programme.kind = kind->second;
    return;
  }
  io::Sound sound = io::read_sound(words.programme, 3600.0);
  take_rate(scene, sound.sample_rate_hz, is_rate_fixed, words.programme);
  programme.kind = loop::ProgrammeKind::kSamples;
  programme.samples = std::move(sound.samples);
}

void set_room(const StageWords& words, loop::SceneOptions& scene) {
  const std::vector<double> sides = numbers(
      words.room_size, 'x', 3, "--room-size", "three sides in metres as LENGTHxWIDTHxHEIGHT");
  scene.room.length_m = sides[0];
  scene.room.width_m = sides[1];
  scene.room.height_m = sides[2];
  scene.room.t60_s = words.t60_s;
  scene.room.t60_low_ratio = words.t60_low_ratio;
  scene.room.t60_high_ratio = words.t60_high_ratio;
  scene.room.seed = words.seed;
  scene.room.pattern = chosen<loop::Pattern>(words.pattern,
                                             {{"omni", loop::Pattern::kOmni},
                                              {"cardioid", loop::Pattern::kCardioid},
                                              {"supercardioid", loop::Pattern::kSupercardioid},
                                              {"figure-eight", loop::Pattern::kFigureEight}},
                                             "--pattern");
  scene.distance_m = words.distance_m;
  scene.off_axis_deg = words.angle_deg;
}

void set_gain(const StageWords& words, loop::SceneOptions& scene) {
  const std::vector<double> gain =
      numbers(words.gain_db, ':', 2, "--gain", "two gains in dB as FROM:TO");
  const std::vector<double> time =
      numbers(words.ramp_s, ':', 2, "--ramp", "two times in seconds as FROM:TO");
  if (words.steps < 0 || words.steps > 1000) {
    throw base::Error{fmt::format("--steps must be 0 to 1000; got {}.", words.steps)};
  }
  if (!(time[0] <= time[1])) {
    throw base::Error{
        fmt::format("--ramp must not run backwards; got '{}'.", base::printable(words.ramp_s))};
  }
  scene.gain_db = words.steps == 0 ? loop::ramp(gain[0], gain[1], time[0], time[1])
                                   : loop::steps(gain[0], gain[1], time[0], time[1], words.steps);
}

void set_moves(const StageWords& words, loop::SceneOptions& scene) {
  if (words.swing_s >= 0.0) {
    loop::Swing swing;
    swing.at_s = words.swing_s;
    swing.distance_m = words.swing_distance_m;
    swing.over_brink_db = words.swing_over_db;
    if (words.swing_back_s >= 0.0) {
      swing.back_s = words.swing_back_s;
    }
    scene.swing = swing;
  }
  if (!words.walk_s.empty()) {
    const std::vector<double> time =
        numbers(words.walk_s, ':', 2, "--walk", "two times in seconds as FROM:TO");
    scene.walk = loop::Walk{time[0], time[1], words.walk_m};
  }
}

void set_cuts(const StageWords& words, loop::SceneOptions& scene) {
  std::vector<base::Biquad> sections;
  for (const std::string& text : words.cuts) {
    const std::vector<double> cut =
        numbers(text, ',', 3, "--cut", "frequency in Hz, Q and depth in dB as HZ,Q,DB");
    sections.push_back(section_of(cut, "--cut", text, scene.sample_rate_hz));
  }
  if (!sections.empty()) {
    scene.equaliser.push_back({words.cut_at_s, std::move(sections)});
  }
}

}  // namespace

void add_stage_options(CLI::App& command, StageWords& words) {
  const std::string room = "Room";
  command.add_option("--room-size", words.room_size, "Sides in metres: LENGTHxWIDTHxHEIGHT")
      ->type_name("LxWxH")
      ->capture_default_str()
      ->group(room);
  command.add_option("--t60", words.t60_s, "Reverberation time at 500 Hz to 1 kHz, seconds")
      ->type_name("S")
      ->check(finite_number())
      ->capture_default_str()
      ->group(room);
  command.add_option("--t60-low", words.t60_low_ratio, "T60 at 125 Hz over that")
      ->type_name("RATIO")
      ->check(finite_number())
      ->capture_default_str()
      ->group(room);
  command.add_option("--t60-high", words.t60_high_ratio, "T60 at 8 kHz over that")
      ->type_name("RATIO")
      ->check(finite_number())
      ->capture_default_str()
      ->group(room);
  command
      .add_option(
          "--room",
          words.room_file,
          "A measured impulse response instead, loudspeaker to microphone, travel time removed")
      ->type_name("FILE")
      ->group(room);
  command.add_option("--seed", words.seed, "Another number, another room and programme")
      ->type_name("N")
      ->check(seed_number())
      ->capture_default_str()
      ->group(room);
  const std::string stage = "Microphone, wedge and console";
  command
      .add_option(
          "--pattern", words.pattern, "Microphone: omni, cardioid, supercardioid or figure-eight")
      ->type_name("PATTERN")
      ->capture_default_str()
      ->group(stage);
  command.add_option("--distance", words.distance_m, "Wedge to microphone, metres")
      ->type_name("M")
      ->check(finite_number())
      ->capture_default_str()
      ->group(stage);
  command
      .add_option("--angle",
                  words.angle_deg,
                  "How far off its axis the microphone sees the wedge, 0 to 180 degrees")
      ->type_name("DEG")
      ->check(finite_number())
      ->capture_default_str()
      ->group(stage);
  command
      .add_option("--loudspeaker-band", words.loudspeaker_band, "What the loudspeaker passes, Hz")
      ->type_name("LOW-HIGH")
      ->capture_default_str()
      ->group(stage);
  command.add_option("--microphone-band", words.microphone_band, "What the microphone passes, Hz")
      ->type_name("LOW-HIGH")
      ->capture_default_str()
      ->group(stage);
  command.add_option("--console-delay", words.console_delay_ms, "Milliseconds")
      ->type_name("MS")
      ->check(finite_number())
      ->capture_default_str()
      ->group(stage);
  command.add_option("--limit", words.limit_dbfs, "Where the amplifier ends, dBFS")
      ->type_name("DBFS")
      ->check(finite_number())
      ->capture_default_str()
      ->group(stage);
  command
      .add_option(
          "--tap",
          words.tap,
          "What is recorded: microphone (as it is without this), output or listener; with "
          "several microphones channel (after the fader, as it is), microphone, output or all (the "
          "channels, then the outputs)")
      ->type_name("TAP")
      ->group(stage);
  add_matrix_options(command, words);
  const std::string programme = "Programme";
  command
      .add_option("--programme", words.programme, "silence, pink, voice or music, or a recording")
      ->type_name("WORD|FILE")
      ->capture_default_str()
      ->group(programme);
  command.add_option("--level", words.level_dbfs, "Its level at the microphone, dBFS")
      ->type_name("DBFS")
      ->check(finite_number())
      ->capture_default_str()
      ->group(programme);
  command.add_option("--noise-floor", words.noise_floor_dbfs, "Of stage and microphone, dBFS")
      ->type_name("DBFS")
      ->check(finite_number())
      ->capture_default_str()
      ->group(programme);
  const std::string plan = "What happens";
  command.add_option("--gain", words.gain_db, "Loop gain in dB, from and to; 0 is the brink")
      ->type_name("FROM:TO")
      ->capture_default_str()
      ->group(plan);
  command.add_option("--ramp", words.ramp_s, "When the gain moves, seconds")
      ->type_name("FROM:TO")
      ->capture_default_str()
      ->group(plan);
  command.add_option("--steps", words.steps, "In that many steps instead of a straight line")
      ->type_name("N")
      ->group(plan);
  command
      .add_option(
          "--swing", words.swing_s, "When the microphone is swung towards the wedge, seconds")
      ->type_name("S")
      ->check(finite_number())
      ->group(plan);
  command.add_option("--swing-back", words.swing_back_s, "When it is swung back")
      ->type_name("S")
      ->check(finite_number())
      ->group(plan);
  command.add_option("--swing-distance", words.swing_distance_m, "How near it comes, metres")
      ->type_name("M")
      ->check(finite_number())
      ->capture_default_str()
      ->group(plan);
  command
      .add_option("--swing-over", words.swing_over_db, "Loop gain it makes there of a gain of 0 dB")
      ->type_name("DB")
      ->check(finite_number())
      ->capture_default_str()
      ->group(plan);
  command.add_option("--walk", words.walk_s, "When somebody walks with the microphone, seconds")
      ->type_name("FROM:TO")
      ->group(plan);
  command.add_option("--walk-by", words.walk_m, "How far, metres")
      ->type_name("M")
      ->check(finite_number())
      ->capture_default_str()
      ->group(plan);
  command.add_option("--cut", words.cuts, "A cut in the loop's equaliser; may be given again")
      ->type_name("HZ,Q,DB")
      ->group(plan)
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  command.add_option("--cut-at", words.cut_at_s, "When the cuts go in, seconds")
      ->type_name("S")
      ->check(finite_number())
      ->capture_default_str()
      ->group(plan);
  command.add_flag("--no-loop", words.is_open, "The programme alone: nothing can ring")
      ->group(plan);
  command.add_option("--length", words.length_s, "Seconds")
      ->type_name("S")
      ->check(finite_number())
      ->capture_default_str()
      ->group(plan);
  command
      .add_option(
          "--sample-rate", words.sample_rate_hz, "8000 to 192000; without it the files', or 48000")
      ->type_name("HZ")
      ->check(finite_number())
      ->group(plan);
}

loop::SceneOptions to_scene(const StageWords& words) {
  const bool has_lists = !(words.faders.empty() && words.sends.empty() && words.inverted.empty() &&
                           words.channel_cuts.empty());
  if (has_lists && !is_matrix(words)) {
    throw base::Error{
        "--fader, --send, --invert and --channel-cut need --microphones or --outputs above 1."};
  }
  loop::SceneOptions scene;
  bool is_rate_fixed = words.sample_rate_hz != 0.0;
  if (is_rate_fixed) {
    scene.sample_rate_hz = words.sample_rate_hz;
  }
  set_room(words, scene);
  if (!words.room_file.empty()) {
    const io::Sound room = io::read_sound(words.room_file, 20.0);
    take_rate(scene, room.sample_rate_hz, is_rate_fixed, words.room_file);
    is_rate_fixed = true;
    scene.room_samples.assign(room.samples.begin(), room.samples.end());
  }
  set_programme(words, scene, is_rate_fixed);
  scene.loudspeaker = band(words.loudspeaker_band, "--loudspeaker-band");
  scene.microphone = band(words.microphone_band, "--microphone-band");
  scene.console_delay_s = words.console_delay_ms / 1000.0;
  scene.limit_dbfs = words.limit_dbfs;
  scene.tap = chosen<loop::Tap>(words.tap.empty() || is_matrix(words) ? "microphone" : words.tap,
                                {{"microphone", loop::Tap::kMicrophone},
                                 {"output", loop::Tap::kOutput},
                                 {"listener", loop::Tap::kListener}},
                                "--tap");
  scene.is_open = words.is_open;
  scene.length_s = words.length_s;
  set_gain(words, scene);
  set_moves(words, scene);
  set_cuts(words, scene);
  return scene;
}

}  // namespace brink::cli
