#pragma once

#include <sys/types.h>

#include <string>
#include <vector>

namespace brink::io {

/// This executable. The name works even after the file was replaced on disk.
inline constexpr const char* kThisProgram = "/proc/self/exe";

/// A program of ours that runs beside this process. It has its own process group, so that the
/// terminal's ^C reaches only us. Its stdin and stderr are /dev/null. It holds the other end of a
/// pipe at descriptor kAliveDescriptor and must end when it reads end-of-file there. So it ends
/// with this process, however this one ends. [any, one at a time]
class ChildProcess {
 public:
  static constexpr int kMemoryDescriptor = 3;
  static constexpr int kAliveDescriptor = 4;

  /// `memory`: a descriptor to give to the child as kMemoryDescriptor, or -1. `wants_output`:
  /// collect its stdout. Throws base::Error when the program cannot be started.
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

  pid_t pid_ = -1;
  int alive_ = -1;
  int output_ = -1;
};

}  // namespace brink::io
