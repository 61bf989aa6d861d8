#pragma once

#include <sys/types.h>

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brink::tests {

struct ProcessOptions {
  std::string err_path = "/dev/null";              ///< file for stderr
  std::map<std::string, std::string> environment;  ///< added to our own environment
};

/// A program that runs beside the test; the test has its stdin and stdout. It always ends with the
/// test. Only this one process is ever ended, by its id.
class Process {
 public:
  explicit Process(const std::vector<std::string>& words, const ProcessOptions& options = {});
  ~Process();
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;
  Process(Process&&) = delete;
  Process& operator=(Process&&) = delete;

  [[nodiscard]] pid_t pid() const { return pid_; }

  /// Returns false when the program does not read any more.
  bool write(std::string_view bytes) const;
  void close_input();
  void close_output();

  /// The next line of its stdout without the line break. Nothing after `patience_s`, or at the end
  /// of stdout.
  [[nodiscard]] std::optional<std::string> read_line(double patience_s);

  void send_signal(int number) const;
  /// Its exit status, or 128 + signal when a signal ended it. Nothing when it still runs after
  /// `patience_s`.
  [[nodiscard]] std::optional<int> wait(double patience_s);

 private:
  pid_t pid_ = -1;
  int input_ = -1;
  int output_ = -1;
  std::string unread_;
  std::optional<int> status_;
};

/// The first process that `parent` started and that still runs; 0 when there is none.
[[nodiscard]] pid_t first_child(pid_t parent);

}  // namespace brink::tests
