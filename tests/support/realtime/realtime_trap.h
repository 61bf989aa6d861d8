#pragma once

#include <functional>

namespace brink::tests {

/// While it lives, it counts what this thread does and a real-time thread must not do: allocating
/// or freeing (malloc and its family, operator new and delete), taking a lock or waiting for one,
/// signalling a condition, sleeping, reading, writing, opening, closing.
///
/// It replaces the C library's functions in every executable that links brink_realtime_trap. Calls
/// from shared libraries are caught too. It does not work in sanitizer builds, which replace the
/// same functions. makes_no_system_call() catches what no named function shows.
class RealtimeTrap {
 public:
  RealtimeTrap() noexcept;
  ~RealtimeTrap();
  RealtimeTrap(const RealtimeTrap&) = delete;
  RealtimeTrap& operator=(const RealtimeTrap&) = delete;
  RealtimeTrap(RealtimeTrap&&) = delete;
  RealtimeTrap& operator=(RealtimeTrap&&) = delete;

  /// Number of forbidden calls by this thread so far.
  [[nodiscard]] int violations() const noexcept;
  /// Name of the first forbidden call, for a test's message. Empty when there was none.
  [[nodiscard]] const char* first() const noexcept;
};

/// Runs `work` in a forked copy of this process. The kernel ends the copy at the first system call
/// other than read and write (Linux, seccomp strict mode); RealtimeTrap catches those two. Returns
/// true when `work` came to its end. Set everything up before: even the first use of a mutex may
/// make a system call.
[[nodiscard]] bool makes_no_system_call(const std::function<void()>& work);

}  // namespace brink::tests
