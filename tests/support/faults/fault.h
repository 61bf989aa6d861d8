#pragma once

namespace brink::tests {

enum class FaultKind {
  kNone,
  kFull,    ///< from the Nth write to a regular file on, the disk is full (ENOSPC)
  kBroken,  ///< from the Nth write or fsync on, the disk gives an input/output error (EIO)
  kShort,   ///< a read gives at most N bytes, and every second one is interrupted first (EINTR)
  kLocks,   ///< no lock on a file is given, with N as errno
  kClock,   ///< the time of day is N seconds ahead at every second look
  kMemory,  ///< the Nth request for memory fails, as operator new tells it
};

/// What the system refuses as long as this lives. One at a time. In a test it takes the place of
/// functions of the C library, so it belongs into an executable of its own (like the trap of
/// support/realtime). As a library that is loaded before a program it reads the environment:
/// BRINK_FAULT is "full:3" and the like, and the file BRINK_FAULT_MET is made when it is met.
class Fault {
 public:
  /// kMemory: of this thread's requests.
  Fault(FaultKind kind, long number);
  ~Fault();
  Fault(const Fault&) = delete;
  Fault& operator=(const Fault&) = delete;
  Fault(Fault&&) = delete;
  Fault& operator=(Fault&&) = delete;

  /// Something was refused, shortened or moved.
  [[nodiscard]] static bool was_met();
};

/// Blocks from operator new that are in use, of this executable.
[[nodiscard]] long blocks_in_use();

}  // namespace brink::tests
