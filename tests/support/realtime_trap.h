#pragma once

#include <functional>

namespace brink::tests {

/// From here to the end of its life, whatever this thread does that a real-time thread must not is
/// counted: allocating or freeing (malloc and its kin, and operator new and delete), taking a lock
/// or waiting on one, signalling a condition, sleeping, reading, writing, opening or closing.
///
/// Works by standing in front of the C library's functions for the whole executable that links
/// brink_realtime_trap; calls from shared libraries are caught too. Not for sanitizer builds, which
/// put their own in that place. What no named function shows is caught by makes_no_system_call.
class RealtimeTrap {
 public:
  RealtimeTrap() noexcept;
  ~RealtimeTrap();
  RealtimeTrap(const RealtimeTrap&) = delete;
  RealtimeTrap& operator=(const RealtimeTrap&) = delete;
  RealtimeTrap(RealtimeTrap&&) = delete;
  RealtimeTrap& operator=(RealtimeTrap&&) = delete;

  /// Forbidden calls of this thread so far.
  [[nodiscard]] int violations() const noexcept;
  /// Name of the first, for the message of a test; empty for none.
  [[nodiscard]] const char* first() const noexcept;
};

/// Runs `work` in a forked copy of this process which the kernel ends at the first system call
/// other than read and write (Linux, seccomp strict mode; RealtimeTrap catches those two). True
/// when it came through. Set everything up beforehand: even the first touch of a mutex may call.
[[nodiscard]] bool makes_no_system_call(const std::function<void()>& work);

}  // namespace brink::tests
