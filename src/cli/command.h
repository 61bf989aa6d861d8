#pragma once

#include <functional>

namespace CLI {  // NOLINT(readability-identifier-naming): theirs
class App;
}

namespace brink::cli {

/// The exit status of the program.
enum ExitStatus : int {
  kDone = 0,
  kFindings = 1,  ///< only with --fail-on-ring
  kBadInput = 2,  ///< or bad use; one clear sentence went to stderr
};

/// What a parsed command line asks for; returns an ExitStatus. base::Error may leave it.
using Work = std::function<int()>;

/// Adds one command to `app`: its options, its help with an example. Parsing that command sets
/// `work`, which main() then runs. One such function for each command, in a file of its own.
using AddCommand = void (*)(CLI::App& app, Work& work);

void add_analyse(CLI::App& app, Work& work);
void add_book(CLI::App& app, Work& work);
void add_capture_child(CLI::App& app, Work& work);
void add_compare(CLI::App& app, Work& work);
void add_ear(CLI::App& app, Work& work);
void add_calibrate(CLI::App& app, Work& work);
void add_inputs(CLI::App& app, Work& work);
void add_listen(CLI::App& app, Work& work);
void add_panel(CLI::App& app, Work& work);
void add_plan(CLI::App& app, Work& work);
void add_play_child(CLI::App& app, Work& work);
void add_reach(CLI::App& app, Work& work);
void add_stage(CLI::App& app, Work& work);
void add_sweep(CLI::App& app, Work& work);

/// All of them, and what `brink --help` says. The manual and the completions are made from this
/// too.
void add_commands(CLI::App& app, Work& work);

/// What `brink` alone does; nothing when it was built without a window.
[[nodiscard]] Work open_panel();

}  // namespace brink::cli
