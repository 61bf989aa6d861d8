#include "io/live/play_child.h"

#include <CLI/CLI.hpp>

#include "cli/command.h"

namespace brink::cli {

void add_play_child(CLI::App& app, Work& work) {
  CLI::App* const command = app.add_subcommand(io::kPlayChildCommand, "");
  command->group("");  // not in the help
  command->callback([&work] { work = [] { return io::run_play_child(); }; });
}

}  // namespace brink::cli
