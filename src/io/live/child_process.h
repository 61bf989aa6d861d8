#pragma once

#include <sys/types.h>

#include <string>
#include <vector>

namespace brink::io {

/// This executable, by the name that works even after it was replaced on disk.
inline constexpr const char* kThisProgram = "/proc/self/exe";

/// A program of ours that runs beside this process: in a process group of its own (the terminal's
/// ^C is for us), with nothing to read and nothing to say on stderr. It holds the far end of a pipe
/// from us, at descriptor kAliveDescriptor, and must end when that reads end-of-file, so that it
/// never outlives this process, however that ends. [any, one at a time]
class ChildProcess {
 public:
  static constexpr int kMemoryDescriptor = 3;
  static constexpr int kAliveDescriptor = 4;

  /// `memory`: a descriptor to hand on as kMemoryDescriptor, -1 for none. `wants_output`: collect
  /// its stdout. Throws base::Error when it cannot be started.
  ChildProcess(const std::string& program,
               const std::vector<std::string>& arguments,
               int memory,
               bool wants_output);
  /// Ends it at once if it still runs.
  ~ChildProcess();
  ChildProcess(const ChildProcess&) = delete;
  ChildProcess& operator=(const ChildProcess&) = delete;
  ChildProcess(ChildProcess&&) = delete;
  ChildProcess& operator=(ChildProcess&&) = delete;

  [[nodiscard]] bool is_running() noexcept;
  /// Asks it to end; after `patience_ms` it is ended.
  void stop(int patience_ms) noexcept;
  /// Its stdout until it closes it; false when that took longer than `patience_ms`.
  [[nodiscard]] bool read_output(std::string& output, int patience_ms) noexcept;

 private:
  void close_pipes() noexcept;

  pid_t pid_ = -1;
  int alive_ = -1;
  int output_ = -1;
};

}  // namespace brink::io
