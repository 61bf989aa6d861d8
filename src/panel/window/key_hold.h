#pragma once

#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace brink::panel {

/// Looks at a held key on a thread of its own, so that a release makes silence at once. The
/// window's thread may be painting then, or waiting for the screen.
class KeyHold {
 public:
  /// `is_down` says whether the key is held. It is called on the thread that looks, every
  /// millisecond while there is something to silence.
  explicit KeyHold(std::function<bool()> is_down);
  /// Calls nothing any more. Waits for a call that has begun.
  ~KeyHold();
  KeyHold(const KeyHold&) = delete;
  KeyHold& operator=(const KeyHold&) = delete;
  KeyHold(KeyHold&&) = delete;
  KeyHold& operator=(KeyHold&&) = delete;

  /// Calls `silence` once, on the thread that looks, when the key is up; soon if it is up already.
  /// It must not throw. [any]
  void at_release(std::function<void()> silence);

  /// Whether something was silenced since this was asked last. [any]
  [[nodiscard]] bool take_release();

 private:
  void look();

  std::function<bool()> is_down_;

  std::mutex mutex_;  // of all that follows
  std::condition_variable changed_;
  std::vector<std::function<void()>> silences_;
  bool was_released_ = false;
  bool is_over_ = false;

  std::thread thread_;  // last: all else is there when it starts
};

}  // namespace brink::panel
