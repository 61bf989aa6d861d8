#include "io/live/capture_child.h"

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "cli/command.h"

namespace brink::cli {

void add_capture_child(CLI::App& app, Work& work) {
  const auto what = std::make_shared<std::string>();
  CLI::App* const command = app.add_subcommand(io::kCaptureChildCommand, "");
  command->group("");  // not in the help
  command->add_option("WHAT", *what, "");
  command->callback([what, &work] {
    work = [what] {
      return *what == io::kListArgument ? io::run_list_child() : io::run_capture_child();
    };
  });
}

}  // namespace brink::cli
