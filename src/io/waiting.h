#pragma once

#include <cstddef>
#include <memory>

namespace brink::io {

/// Reads what comes to an open file, a pipe or a terminal, and waits for it no longer than it is
/// told to. Does not own the file. [one thread at a time]
class WaitedInput {
 public:
  explicit WaitedInput(int file);
  ~WaitedInput();
  WaitedInput(const WaitedInput&) = delete;
  WaitedInput& operator=(const WaitedInput&) = delete;
  WaitedInput(WaitedInput&&) = delete;
  WaitedInput& operator=(WaitedInput&&) = delete;

  enum class Outcome { kBytes, kNothingYet, kEnd };

  /// At most `most` bytes, how many is in `count`. A signal may end the wait early. A fault is an
  /// end.
  [[nodiscard]] Outcome read(void* bytes, std::size_t most, int patience_ms, std::size_t& count);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// Whether a file at `file` still has a reader, as far as that can be told without writing. [any]
[[nodiscard]] bool has_reader(int file) noexcept;

}  // namespace brink::io
