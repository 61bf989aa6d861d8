#pragma once

#include <array>
#include <atomic>
#include <cstdint>

namespace brink::base {

/// Hands the newest state from one thread to one other. Neither thread waits. The state that the
/// reader holds does not change while it reads. There are three Values: one is being written, one
/// is being read, and the third lies between. Publishing and reading both swap with the third. The
/// reader skips older states.
template <typename Value>
class TripleBuffer {
 public:
  /// All three start as copies of `first`, so that later writes need not allocate.
  explicit TripleBuffer(const Value& first) : slots_{first, first, first} {}

  // The writing side. [analysis]

  /// The Value to write. It holds an old state, so fill every part of it.
  [[nodiscard]] Value& back() noexcept { return slots_[back_]; }

  /// Makes back() the newest state.
  void publish() noexcept {
    back_ = between_.exchange(back_ | kFresh, std::memory_order_acq_rel) & kIndex;
  }

  // The reading side. [face]

  /// The newest state. It does not change until the next call.
  [[nodiscard]] const Value& newest() noexcept {
    if ((between_.load(std::memory_order_relaxed) & kFresh) != 0) {
      front_ = between_.exchange(front_, std::memory_order_acq_rel) & kIndex;
    }
    return slots_[front_];
  }

 private:
  static constexpr std::uint8_t kFresh = 4;  // set beside the index while the Value is unread
  static constexpr std::uint8_t kIndex = 3;

  std::array<Value, 3> slots_;
  std::uint8_t back_ = 0;
  std::uint8_t front_ = 1;
  std::atomic<std::uint8_t> between_{2};
};

}  // namespace brink::base
