#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <array>
#include <csignal>
#include <exception>

#include "cli/command.h"
#include "cli/output.h"
#include "core/error.h"

namespace brink::cli {
namespace {

/// Every command, in the order of the help. A new one: its line here, its declaration in command.h.
constexpr auto kCommands = std::to_array<AddCommand>({
    add_analyse,
    add_listen,
    add_inputs,
    add_plan,
    add_stage,
    add_reach,
    add_book,
    add_ear,
    add_panel,
    add_capture_child,
    add_play_child,
});

int refuse(const CLI::App& app, const CLI::ParseError& error) {
  const auto chosen = app.get_subcommands();
  const std::string name = chosen.empty() ? "brink" : "brink " + chosen.front()->get_name();
  say(fmt::format("{}; see '{} --help'.", error.what(), name));
  return kBadInput;
}

int run(int argc, char** argv) {
  CLI::App app(
      "Finds the frequencies at which a sound system is about to feed back, and says what "
      "to cut.",
      "brink");
  app.set_version_flag("--version", "brink " BRINK_VERSION);
  app.require_subcommand(0, 1);
  Work work;
  for (const AddCommand add : kCommands) {
    add(app, work);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    // Help and version are "errors" of status 0 to the parser.
    return error.get_exit_code() == 0 ? app.exit(error) : refuse(app, error);
  }
  if (!work) {
    work = open_panel();
  }
  if (!work) {
    fmt::print("{}", app.help());
    return kDone;
  }
  return work();
}

}  // namespace
}  // namespace brink::cli

int main(int argc, char** argv) {
  namespace cli = brink::cli;
  std::signal(SIGPIPE, SIG_IGN);  // NOLINT(cert-err33-c): a reader that leaves shows as EPIPE
  std::signal(SIGXFSZ, SIG_IGN);  // NOLINT(cert-err33-c): a file that may not grow shows as EFBIG
  try {
    return cli::run(argc, argv);
  } catch (const brink::core::Error& error) {
    cli::say(error.what());
  } catch (const std::exception& error) {
    cli::say(fmt::format("stopped by an unexpected fault ({}).", error.what()));
  }
  return cli::kBadInput;
}
