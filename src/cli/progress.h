#pragma once

#include <chrono>
#include <optional>
#include <string>

namespace brink::cli {

/// How far a command is, and how long the rest takes: a line that rewrites itself on stderr. Silent
/// unless stderr is a terminal.
class ProgressLine {
 public:
  /// `label`: what is worked on, one line, printable.
  ProgressLine(std::string label, bool is_wanted);
  /// Removes the line.
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ProgressLine(ProgressLine&&) = delete;
  ProgressLine& operator=(ProgressLine&&) = delete;

  void show(double done_ratio);

 private:
  std::string label_;
  bool is_shown_;
  std::chrono::steady_clock::time_point begun_;
  std::optional<double> begun_ratio_;  // done before this line was there
  std::chrono::steady_clock::time_point next_;
};

}  // namespace brink::cli
