#pragma once

#include <chrono>
#include <string>

namespace brink::cli {

/// A percentage that rewrites itself on stderr while a command works; silent unless stderr is a
/// terminal.
class ProgressLine {
 public:
  /// `label`: what is worked on, one line, printable.
  ProgressLine(std::string label, bool is_wanted);
  /// Removes the percentage from the line.
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ProgressLine(ProgressLine&&) = delete;
  ProgressLine& operator=(ProgressLine&&) = delete;

  void show(double done_ratio);

 private:
  std::string label_;
  bool is_shown_;
  std::chrono::steady_clock::time_point next_;
};

}  // namespace brink::cli
