#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <exception>
#include <new>
#include <string>

#include "base/error.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/refusal.h"
#include "cli/standard_streams.h"

namespace brink::cli {
namespace {

int refuse(const std::string& sentence) {
  say(sentence);
  return kBadInput;
}

int print(const std::string& text) {
  Output screen{""};
  (void)screen.write(text);
  return kDone;
}

int run(int argc, char** argv) {
  CLI::App app;
  Work work;
  add_commands(app, work);
  if (const auto sentence = refuse_command(app, argc, argv)) {
    return refuse(*sentence);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    return print(app.help());
  } catch (const CLI::CallForVersion& version) {
    return print(std::string(version.what()) + "\n");
  } catch (const CLI::ParseError& error) {
    return refuse(refusal(app, error));
  }
  if (!work) {
    work = open_panel();
  }
  if (!work) {
    return print(app.help());
  }
  return work();
}

}  // namespace
}  // namespace brink::cli

int main(int argc, char** argv) {
  namespace cli = brink::cli;
  cli::prepare_streams();
  cli::watch_end_signals();
  try {
    return cli::run(argc, argv);
  } catch (const brink::base::Error& error) {
    cli::say(error.what());
  } catch (const std::bad_alloc&) {
    cli::say(
        "there is not enough memory for this; close other programs, or give it less at a time.");
  } catch (const std::exception& error) {
    cli::say(fmt::format("stopped by an unexpected fault ({}).", error.what()));
  }
  return cli::kBadInput;
}
