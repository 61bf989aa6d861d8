#pragma once

#include <array>
#include <atomic>
#include <cstdint>

namespace brink::base {

/// Hands the newest state from one thread to one other; neither ever waits, and what the reader
/// holds does not change under it. Three of Value exist: one is written, one is read, and the third
/// lies between; handing over exchanges with the one between. Older states are skipped.
template <typename Value>
class TripleBuffer {
 public:
  /// All three start as copies of `first`, so that later writes need not allocate.
  explicit TripleBuffer(const Value& first) : slots_{first, first, first} {}

  // The writing side. [analysis]

  /// To be filled wholly; holds an old state.
  [[nodiscard]] Value& back() noexcept { return slots_[back_]; }

  /// What back() holds is the newest state.
  void publish() noexcept {
    back_ = between_.exchange(back_ | kFresh, std::memory_order_acq_rel) & kIndex;
  }

  // The reading side. [face]

  /// The newest state; stays as it is until the next call.
  [[nodiscard]] const Value& newest() noexcept {
    if ((between_.load(std::memory_order_relaxed) & kFresh) != 0) {
      front_ = between_.exchange(front_, std::memory_order_acq_rel) & kIndex;
    }
    return slots_[front_];
  }

 private:
  static constexpr std::uint8_t kFresh = 4;  // beside the index: not read yet
  static constexpr std::uint8_t kIndex = 3;

  std::array<Value, 3> slots_;
  std::uint8_t back_ = 0;
  std::uint8_t front_ = 1;
  std::atomic<std::uint8_t> between_{2};
};

}  // namespace brink::base
