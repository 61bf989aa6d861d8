#include <CLI/CLI.hpp>
#include <array>

#include "cli/command.h"
#include "cli/target/target.h"

namespace brink::cli {
namespace {

/// Every command, in the order of the help. A new one: its line here, its declaration in command.h.
constexpr auto kCommands = std::to_array<AddCommand>({
    add_analyse,
    add_compare,
    add_listen,
    add_inputs,
    add_calibrate,
    add_plan,
    add_stage,
    add_reach,
    add_sweep,
    add_book,
    add_target,
    add_ear,
    add_panel,
    add_capture_child,
    add_play_child,
});

constexpr const char* kExamples =
    "Examples:\n"
    "  brink\n"
    "  brink analyse soundcheck.wav\n"
    "  brink listen --input \"front mic\"\n"
    "  brink plan --rings 2631,811 --target third-octave\n"
    "\n"
    "'brink COMMAND --help' tells the rest, with examples.\n";

}  // namespace

void add_commands(CLI::App& app, Work& work) {
  app.name("brink");
  app.description(
      "Finds the frequencies at which a sound system is about to feed back, and says what "
      "to cut.");
  app.set_version_flag("--version", "brink " BRINK_VERSION);
  app.require_subcommand(0, 1);
  // Otherwise the library takes /folder/file for an option on Windows.
  app.allow_windows_style_options(false);
  app.footer(kExamples);
  for (const AddCommand add : kCommands) {
    add(app, work);
  }
}

}  // namespace brink::cli
