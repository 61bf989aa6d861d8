#pragma once

#include <string>
#include <vector>

namespace brink::io {

/// A program of ours that runs beside this process. It has its own process group, so that the
/// terminal's ^C reaches only us. Its stdin and stderr lead nowhere. It holds the other end of a
/// pipe and must end when wait_for_parent_to_leave() returns. So it ends with this process, however
/// this one ends. [any, one at a time]
class ChildProcess {
 public:
  /// `memory`: SharedMemory::descriptor() to give to the child, or -1. `wants_output`: collect its
  /// stdout. Throws base::Error when the program cannot be started.
  ChildProcess(const std::string& program,
               const std::vector<std::string>& arguments,
               int memory,
               bool wants_output);
  /// Kills the child if it still runs.
  ~ChildProcess();
  ChildProcess(const ChildProcess&) = delete;
  ChildProcess& operator=(const ChildProcess&) = delete;
  ChildProcess(ChildProcess&&) = delete;
  ChildProcess& operator=(ChildProcess&&) = delete;

  [[nodiscard]] bool is_running() noexcept;
  /// Asks the child to end, and kills it after `patience_ms`.
  void stop(int patience_ms) noexcept;
  /// Reads the child's stdout until the child closes it. Returns false when that takes longer than
  /// `patience_ms`.
  [[nodiscard]] bool read_output(std::string& output, int patience_ms) noexcept;

 private:
  void close_pipes() noexcept;

  int process_ = -1;
  int alive_ = -1;
  int output_ = -1;
};

/// In a child: the memory that its parent gave it, as SharedMemory takes it.
[[nodiscard]] int memory_of_parent() noexcept;
/// In a child: whether the parent has ended or wants no more of it, waited for up to `patience_ms`;
/// -1: without an end.
[[nodiscard]] bool has_parent_left(int patience_ms) noexcept;

}  // namespace brink::io
