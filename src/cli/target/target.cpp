#include "cli/target/target.h"

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/target/target_listen.h"
#include "desk/target_library.h"
#include "report/link_report.h"

namespace brink::cli {
namespace {

struct CheckOptions {
  std::string file;
  std::string format = "text";
  bool is_to_listen = false;
  double seconds = 0.0;
};

int check(const CheckOptions& options) {
  const cuts::Target target = desk::load_target(options.file);
  if (options.is_to_listen) {
    return listen_to_console(target, options.format == "json", options.seconds);
  }
  Output screen{""};
  (void)screen.write(options.format == "json" ? report::link_json(target)
                                              : report::link_text(target));
  screen.finish();
  return kDone;
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink target check wedge-1.txt\n"
    "  brink target check wedge-1.txt --listen\n"
    "\n"
    "How a file says where a console's bands and fader are: docs/console-link.md.";

}  // namespace

void add_target(CLI::App& app, Work& work) {
  CLI::App* const target =
      app.add_subcommand("target", "Check a target file and its link to a console");
  target->require_subcommand(1);
  target->footer(kExamples);
  const auto options = std::make_shared<CheckOptions>();
  CLI::App* const command =
      target->add_subcommand("check", "Try every line of a target file; sets nothing");
  command->add_option("file", options->file, "The target: a file, or a name of one at hand")
      ->type_name("NAME|FILE")
      ->required()
      ->check(not_empty());
  command->add_option("--format", options->format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  CLI::Option* const listen = command->add_flag(
      "--listen", options->is_to_listen, "Show what arrives from the console; sets nothing");
  command->add_option("--seconds", options->seconds, "With --listen: end by itself after so long")
      ->type_name("S")
      ->check(number_in(0.1, 86400.0))
      ->needs(listen);
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return check(*options); }; });
}

}  // namespace brink::cli
