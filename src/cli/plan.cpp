#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <optional>
#include <string>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/sound_choice.h"
#include "desk/target_library.h"
#include "io/text_file.h"
#include "report/loop_gain.h"
#include "report/loop_trust.h"
#include "report/plan_input.h"
#include "report/plan_report.h"
#include "show/kept_target.h"

namespace brink::cli {
namespace {

struct PlanCommand {
  std::string analysis;
  std::string rings;
  std::string loop;
  std::string target = "parametric";
  std::string format = "text";
  std::string plot;
  bool replaces = false;
  int most_cuts = 8;
  std::optional<int> channel;
  double delay_ms = 30.0;
  double sample_rate_hz = 48000.0;
  std::string sound = kDefaultSound;
};

std::string text_name(const std::string& path) {
  return path == "-" ? "standard input" : base::printable(path);
}

report::PlanReport make_plan(const PlanCommand& command) {
  const int given = static_cast<int>(!command.analysis.empty()) +
                    static_cast<int>(!command.rings.empty()) +
                    static_cast<int>(!command.loop.empty());
  if (given != 1) {
    throw base::Error(
        "plan needs one of: a file of 'brink analyse --format json', --rings, or --loop.");
  }
  report::PlanReport report;
  report.target = desk::load_target(command.target);
  report.sample_rate_hz = command.sample_rate_hz;
  cuts::PlanConfig config;
  config.sample_rate_hz = command.sample_rate_hz;
  config.most_moves = command.most_cuts;
  report.sound = to_sound(command.sound);
  config.sound = report.sound;
  if (!command.loop.empty()) {
    const report::EvenGain gain =
        report::parse_loop_gain(io::read_text_file(command.loop), text_name(command.loop));
    if (const auto warning = report::check_trust(gain, text_name(command.loop))) {
      report.warnings.push_back(*warning);
    }
    report.is_from_loop = true;
    report.loop_level_db = cuts::highest_crossing(gain.loop()).level_db;
    report.plan = cuts::plan_for_loop(gain.loop(), report.target, config);
    return report;
  }
  report.rings =
      command.rings.empty()
          ? report::parse_rings_json(
                io::read_text_file(command.analysis), text_name(command.analysis), command.channel)
          : report::parse_ring_list(command.rings, command.sample_rate_hz);
  cuts::ProposeConfig propose;
  propose.loop_delay_s = command.delay_ms / 1000.0;
  report.plan = cuts::plan_for_rings(report.rings, report.target, config, propose);
  return report;
}

int answer(const PlanCommand& command) {
  std::optional<Output> picture;
  if (!command.plot.empty()) {
    picture.emplace(command.plot,
                    io::ReplaceRule{{report::kPlanSvgBeginning},
                                    command.replaces,
                                    {command.analysis, command.loop, command.target}});
  }
  Output screen{""};
  const report::PlanReport report = make_plan(command);
  if (picture) {
    (void)picture->write(report::plan_svg(report));
    picture->finish();
  }
  (void)screen.write(command.format == "json" ? report::plan_json(report)
                                              : report::plan_text(report));
  screen.finish();
  return kDone;
}

std::string target_list() {
  std::string text = "Targets at hand:\n";
  for (const cuts::Target& target : cuts::built_in_targets()) {
    text += fmt::format("  {:<14} {}\n", target.name, target.about);
  }
  return text;
}

std::string is_svg_name(const std::string& path) {
  const bool is_one = path.size() > 4 && path.substr(path.size() - 4) == ".svg";
  return is_one ? ""
                : fmt::format("'{}' is no name of an SVG file; let it end in .svg",
                              base::printable(path));
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink analyse rehearsal.wav --format json | brink plan -\n"
    "  brink plan --rings 2631,811 --target third-octave --plot plan.svg\n"
    "  brink plan --loop loop.csv --target monitor-desk.txt --cuts 4\n"
    "\n"
    "A loop file has one line for each frequency, in even steps: Hz, gain in dB (0 is the brink),\n"
    "phase in degrees. What a target file says stands in docs/targets.md.\n"
    "\n";

}  // namespace

void add_plan(CLI::App& app, Work& work) {
  const auto options = std::make_shared<PlanCommand>();
  CLI::App* const command =
      app.add_subcommand("plan", "Fit cuts to the equaliser at hand, and say what each is worth");
  command
      ->add_option("analysis", options->analysis, "What analyse --format json wrote; - for stdin")
      ->type_name("FILE")
      ->check(not_empty());
  command->add_option("--rings", options->rings, "Frequencies by hand, in Hz: 2631,811")
      ->type_name("LIST")
      ->check(not_empty());
  command->add_option("--loop", options->loop, "The loop's response: Hz, dB, degrees; - for stdin")
      ->type_name("FILE")
      ->check(not_empty());
  command->add_option("--channel", options->channel, "Only this channel of the analysis, from 1")
      ->type_name("N")
      ->check(number_in(1, 64));
  command->add_option("--target", options->target, "The equaliser: a name below, or a file")
      ->type_name("NAME|FILE")
      ->capture_default_str();
  command->add_option("--cuts", options->most_cuts, "At most so many moves, high-pass included")
      ->type_name("N")
      ->check(number_in(1, 64))
      ->capture_default_str();
  command
      ->add_option(
          "--delay", options->delay_ms, "Time once around the loop, when rings are all known")
      ->type_name("MS")
      ->check(number_in(1.0, 500.0))
      ->capture_default_str();
  command->add_option("--sample-rate", options->sample_rate_hz, "Of the equaliser")
      ->type_name("HZ")
      ->check(number_in(8000.0, 192000.0))
      ->capture_default_str();
  add_sound_option(*command, options->sound);
  command->add_option("--format", options->format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command->add_option("--plot", options->plot, "Draw the equaliser's response into this SVG file")
      ->type_name("FILE")
      ->check(is_svg_name);
  add_replace_flag(*command, options->replaces);
  command->footer(kExamples + target_list());
  command->callback([options, &work] { work = [options] { return answer(*options); }; });
}

}  // namespace brink::cli
