#pragma once

#include <sys/types.h>

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brink::tests {

struct ProcessOptions {
  std::string err_path = "/dev/null";              ///< stderr goes there
  std::map<std::string, std::string> environment;  ///< added to ours
};

/// A program that runs beside the test, with its stdin and stdout in the test's hands. Whatever
/// happens to the test, it ends with it: only this very process is ever ended, by its id.
class Process {
 public:
  explicit Process(const std::vector<std::string>& words, const ProcessOptions& options = {});
  ~Process();
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;
  Process(Process&&) = delete;
  Process& operator=(Process&&) = delete;

  [[nodiscard]] pid_t pid() const { return pid_; }

  /// False when it does not read any more.
  bool write(std::string_view bytes) const;
  void close_input();
  void close_output();

  /// The next line of its stdout without its end; nothing after `patience_s`, or at its end.
  [[nodiscard]] std::optional<std::string> read_line(double patience_s);

  void send_signal(int number) const;
  /// Its exit status (128 + signal when one ended it); nothing when it still runs after
  /// `patience_s`.
  [[nodiscard]] std::optional<int> wait(double patience_s);

 private:
  pid_t pid_ = -1;
  int input_ = -1;
  int output_ = -1;
  std::string unread_;
  std::optional<int> status_;
};

}  // namespace brink::tests
