#pragma once

#include <string>
#include <vector>

namespace brink::tests {

struct Outcome {
  int status = -1;  ///< exit status; 128 + signal when one ended it
  std::string out;
  std::string err;
};

struct RunOptions {
  std::string directory;             ///< to run in; empty for here
  std::string out_path;              ///< stdout goes to this file or device instead
  bool out_is_closed_early = false;  ///< the reader of stdout leaves before the program starts
  std::vector<int> closed;           ///< descriptors that it starts without
  int signal_after_ms = 0;           ///< send SIGINT so long after the start; 0 for never
};

/// Runs the program under test (`brink`) with these arguments and waits for it.
[[nodiscard]] Outcome run_brink(const std::vector<std::string>& arguments,
                                const RunOptions& options = {});

}  // namespace brink::tests
