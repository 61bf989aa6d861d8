#pragma once

#include <map>
#include <string>
#include <vector>

namespace brink::tests {

struct Outcome {
  int status = -1;  ///< exit status, or 128 + signal when a signal ended it
  std::string out;
  std::string err;
};

struct RunOptions {
  std::string directory;             ///< directory to run in; empty: the present one
  std::string out_path;              ///< if not empty, stdout goes to this file or device
  bool out_is_closed_early = false;  ///< whoever reads stdout is gone before the program starts
  std::vector<int> closed;           ///< descriptors that are closed when it starts
  unsigned long long longest_file_bytes = 0;       ///< no file may grow beyond it; 0: any may
  std::map<std::string, std::string> environment;  ///< added to our own environment
  std::string in_path;                             ///< if not empty, its stdin is this file
  int signal_after_ms = 0;  ///< sends SIGINT this long after the start; 0: never
};

/// The program under test: the `brink` of this build, or what BRINK_TESTED names, such as one for
/// another system that starts an emulator.
[[nodiscard]] std::string tested_program();

/// Runs the program under test with these arguments and waits for it.
[[nodiscard]] Outcome run_brink(const std::vector<std::string>& arguments,
                                const RunOptions& options = {});

}  // namespace brink::tests
