#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/error.h"
#include "cli/command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/stage/stage_list.h"
#include "cli/stage/stage_options.h"
#include "desk/target_library.h"
#include "io/paths.h"
#include "io/whole_file.h"
#include "io/whole_sound.h"
#include "report/stage_report.h"
#include "robot/robot_report.h"
#include "show/kept_target.h"

namespace brink::cli {
namespace {

struct StageCommand {
  StageWords words;
  std::string format = "text";
  std::string output;
  std::string scenarios;
  std::string directory;
  bool replaces = false;
  bool is_ring_out = false;
  std::string target = "parametric";
  robot::RobotConfig robot;
};

std::string truth_path(const std::string& sound_path) {
  return io::to_path(sound_path).replace_extension(".truth.json").string();
}

/// The sound and the truth beside it: both or none.
class ClipFiles {
 public:
  explicit ClipFiles(const StageCommand& command) {
    if (!command.output.empty()) {
      const io::ReplaceRule rule = stage_rule(command.words, command.replaces);
      sound_.emplace(command.output, rule);
      truth_.emplace(truth_path(command.output), rule);
      clip_ = io::to_path(command.output).filename().string();
    }
  }

  [[nodiscard]] const std::string& clip() const noexcept { return clip_; }

  template <typename Sound>
  void write(double sample_rate_hz, const Sound& sound, const std::string& truth) {
    if (!sound_) {
      return;
    }
    io::write_sound(*sound_, sample_rate_hz, sound, io::kStageComment);
    (void)truth_->write(truth);
    sound_->seal();
    truth_->seal();
    const io::SignalsWait wait;
    sound_->commit();
    truth_->finish();
  }

 private:
  std::optional<io::WholeFile> sound_;
  std::optional<Output> truth_;
  std::string clip_;
};

template <typename Report>
int tell(const StageCommand& command, const Report& report) {
  Output screen{""};
  (void)screen.write(command.format == "json" ? report::stage_json(report)
                                              : report::stage_text(report));
  screen.finish();
  return kDone;
}

int render_one(const StageCommand& command) {
  ClipFiles files{command};
  report::StageReport report;
  report.scene = loop::build_scene(to_scene(command.words));
  report.render = loop::render(report.scene);
  report.clip = files.clip();
  files.write(report.scene.stage.sample_rate_hz, report.render.samples, report::stage_json(report));
  return tell(command, report);
}

int render_matrix(const StageCommand& command) {
  ClipFiles files{command};
  report::MatrixStageReport report;
  report.scene = loop::build_matrix_scene(to_matrix_scene(command.words));
  report.render = loop::render(report.scene);
  report.clip = files.clip();
  const std::vector<std::span<const float>> taps(report.render.taps.begin(),
                                                 report.render.taps.end());
  files.write(report.scene.stage.sample_rate_hz,
              std::span<const std::span<const float>>(taps),
              report::stage_json(report));
  return tell(command, report);
}

int ring_out(const StageCommand& command) {
  if (!command.output.empty() || !command.scenarios.empty()) {
    throw base::Error{"--ring-out writes no sound: leave --output and --scenarios out."};
  }
  robot::RobotConfig config = command.robot;
  config.target = desk::load_target(command.target);
  const robot::RobotRun run = robot::run_robot(loop::build_scene(to_scene(command.words)), config);
  Output screen{""};
  (void)screen.write(command.format == "json" ? robot::robot_json(run, config)
                                              : robot::robot_text(run, config));
  screen.finish();
  return kDone;
}

int work_on(const StageCommand& command) {
  if (is_matrix(command.words)) {
    if (command.is_ring_out || !command.scenarios.empty()) {
      throw base::Error{
          "--ring-out and --scenarios work on one microphone and one output: leave --microphones "
          "and --outputs out."};
    }
    return render_matrix(command);
  }
  if (command.is_ring_out) {
    return ring_out(command);
  }
  if (command.scenarios.empty() != command.directory.empty()) {
    throw base::Error{
        "--scenarios and --into belong together: a list of clips, and where they go."};
  }
  return command.scenarios.empty()
             ? render_one(command)
             : render_scenarios(command.scenarios, command.directory, command.replaces);
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink stage --programme music --gain -6:2 --output ring.wav\n"
    "  brink stage --room-size 8x6x3 --t60 0.4 --swing 4 --swing-back 7 --gain 0:0 --format json\n"
    "  brink stage --cut 1250,8,-6 --cut-at 9 --output cut.flac\n"
    "  brink stage --microphones 5 --outputs 2 --gain -6:2 --output band.wav\n"
    "  brink stage --ring-out --room-size 12x8x4 --t60 1.1 --target third-octave\n"
    "\n"
    "Writes the sound (WAV of 24 bit, FLAC of 16) and, beside it, its truth (.truth.json):\n"
    "what the loop's own transfer function says, never a detector. Gains are counted from\n"
    "the brink of the loop as it starts. Nothing is played.\n"
    "With several microphones the sound has one channel for each tap, and the truth has the share\n"
    "of each microphone in each ring.\n"
    "--ring-out makes no sound file: it raises the fader, listens, cuts and checks by itself,\n"
    "and then says what that was worth by the loop's own truth.\n";

void add_robot_options(CLI::App& command, StageCommand& options) {
  const std::string group = "Ringing out";
  CLI::Option* const ring_out =
      command
          .add_flag("--ring-out",
                    options.is_ring_out,
                    "Ring the stage out: gain plan, moves and cuts from above are left out")
          ->group(group);
  command
      .add_option("--target", options.target, "The equaliser: a name or a file, as for brink plan")
      ->type_name("NAME|FILE")
      ->capture_default_str()
      ->needs(ring_out)
      ->group(group);
  command.add_option("--cuts", options.robot.most_moves, "At most so many, high-pass included")
      ->type_name("N")
      ->capture_default_str()
      ->needs(ring_out)
      ->group(group);
  command.add_option("--rounds", options.robot.most_rounds, "At most so many; 5 to 7 are usual")
      ->type_name("N")
      ->capture_default_str()
      ->needs(ring_out)
      ->group(group);
  command
      .add_option("--back-off", options.robot.back_off_db, "How far under the brink it ends, dB")
      ->type_name("DB")
      ->check(finite_number())
      ->capture_default_str()
      ->needs(ring_out)
      ->group(group);
}

}  // namespace

void add_stage(CLI::App& app, Work& work) {
  const auto options = std::make_shared<StageCommand>();
  CLI::App* const command =
      app.add_subcommand("stage", "Render a simulated stage that rings, with its truth");
  add_stage_options(*command, options->words);
  command->add_option("--output", options->output, "Write the sound here, its truth beside it")
      ->type_name("FILE")
      ->check(not_empty());
  command->add_option("--format", options->format, "The truth on the screen: text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command->add_option("--scenarios", options->scenarios, "Render every clip of a list instead")
      ->type_name("FILE")
      ->check(not_empty());
  command->add_option("--into", options->directory, "Where the clips of the list go")
      ->type_name("DIR")
      ->check(not_empty());
  add_replace_flag(*command, options->replaces);
  add_robot_options(*command, *options);
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return work_on(*options); }; });
}

}  // namespace brink::cli
