#pragma once

#include <algorithm>
#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <type_traits>
#include <utility>
#include <vector>

#include "base/realtime.h"

namespace brink::base {

/// How many items were ever written and read. It is separate from the items, so that both can lie
/// in memory shared by two processes. Each count has its own cache line, so that the two sides do
/// not slow each other.
struct RingPositions {
  static constexpr std::size_t kCacheLineBytes = 64;

  alignas(kCacheLineBytes) std::atomic<std::uint64_t> written{0};
  alignas(kCacheLineBytes) std::atomic<std::uint64_t> read{0};
};

static_assert(std::atomic<std::uint64_t>::is_always_lock_free);

/// Hands items from one thread (or process) to one other, in order, without a lock.
///
/// It works on memory that others own: the number of `items` must be a power of two, and the memory
/// must outlive this view. Each side may have its own view. Nothing here allocates, locks, waits or
/// calls the system. A full ring refuses items; an empty one gives none. Order between the two
/// sides: a position is stored (release) after its items are written, and loaded (acquire) before
/// items are read.
template <typename Item>
class RingBuffer {
  static_assert(std::is_trivially_copyable_v<Item>);

 public:
  using Halves = std::array<std::span<Item>, 2>;

  RingBuffer(RingPositions& positions, std::span<Item> items) noexcept
      : positions_(&positions), items_(items) {}

  [[nodiscard]] std::size_t capacity() const noexcept { return items_.size(); }

  /// Number of items ever pushed. [any]
  [[nodiscard]] std::uint64_t written() const noexcept BRINK_NONBLOCKING {
    return positions_->written.load(std::memory_order_acquire);
  }

  // The pushing side. [audio]

  /// Room for `count` items in order. It comes in one piece, or in two when it goes past the end of
  /// the memory. Both pieces are empty when there is no room for all. Fill it, then call publish().
  [[nodiscard]] Halves space(std::size_t count) const noexcept BRINK_NONBLOCKING {
    const std::uint64_t written = positions_->written.load(std::memory_order_relaxed);
    const std::uint64_t read = positions_->read.load(std::memory_order_acquire);
    const bool fits = written - read <= capacity() && count <= capacity() - (written - read);
    return fits ? halves(written, count) : Halves{};
  }

  /// Hands over the first `count` items of the last space().
  void publish(std::size_t count) noexcept BRINK_NONBLOCKING {
    const std::uint64_t written = positions_->written.load(std::memory_order_relaxed);
    positions_->written.store(written + count, std::memory_order_release);
  }

  /// Pushes all of `items` and returns true, or pushes none and returns false.
  [[nodiscard]] bool push(std::span<const Item> items) noexcept BRINK_NONBLOCKING {
    const auto [first, second] = space(items.size());
    if (first.size() + second.size() < items.size()) {
      return false;
    }
    std::copy_n(items.begin(), first.size(), first.begin());
    std::copy_n(
        items.begin() + static_cast<std::ptrdiff_t>(first.size()), second.size(), second.begin());
    publish(items.size());
    return true;
  }

  [[nodiscard]] bool push(const Item& item) noexcept BRINK_NONBLOCKING {
    return push(std::span(&item, 1));
  }

  // The pulling side. [analysis]

  /// Number of items that wait to be pulled.
  [[nodiscard]] std::size_t available() const noexcept BRINK_NONBLOCKING {
    const std::uint64_t read = positions_->read.load(std::memory_order_relaxed);
    return static_cast<std::size_t>(std::min<std::uint64_t>(written() - read, items_.size()));
  }

  /// The first `count` waiting items, at most available(). They stay in the ring until drop().
  [[nodiscard]] Halves peek(std::size_t count) const noexcept BRINK_NONBLOCKING {
    return halves(positions_->read.load(std::memory_order_relaxed), std::min(count, available()));
  }

  /// Frees the first `count` items of the last peek().
  void drop(std::size_t count) noexcept BRINK_NONBLOCKING {
    const std::uint64_t read = positions_->read.load(std::memory_order_relaxed);
    positions_->read.store(read + count, std::memory_order_release);
  }

  /// Moves waiting items into `items`, as many as wait and fit. Returns their number.
  std::size_t pull(std::span<Item> items) noexcept BRINK_NONBLOCKING {
    const auto [first, second] = peek(items.size());
    std::copy(first.begin(), first.end(), items.begin());
    std::copy(
        second.begin(), second.end(), items.begin() + static_cast<std::ptrdiff_t>(first.size()));
    drop(first.size() + second.size());
    return first.size() + second.size();
  }

  /// Number of items ever pulled, which is also the position of the next one. [analysis]
  [[nodiscard]] std::uint64_t pulled() const noexcept BRINK_NONBLOCKING {
    return positions_->read.load(std::memory_order_relaxed);
  }

 private:
  [[nodiscard]] Halves halves(std::uint64_t position,
                              std::size_t count) const noexcept BRINK_NONBLOCKING {
    const auto start = static_cast<std::size_t>(position & (items_.size() - 1));
    const std::size_t first = std::min(count, items_.size() - start);
    return {items_.subspan(start, first), items_.first(count - first)};
  }

  RingPositions* positions_;
  std::span<Item> items_;
};

/// The smallest power of two that is not below `at_least`: a capacity that RingBuffer accepts.
[[nodiscard]] constexpr std::size_t ring_capacity(std::size_t at_least) noexcept {
  std::size_t capacity = 1;
  while (capacity < at_least) {
    capacity *= 2;
  }
  return capacity;
}

/// A ring buffer between two threads of one process, with its own memory. Constructing allocates.
template <typename Item>
class OwnedRingBuffer : public RingBuffer<Item> {
 public:
  /// The capacity is `at_least` items or more.
  explicit OwnedRingBuffer(std::size_t at_least) : OwnedRingBuffer(make(at_least)) {}

 private:
  struct Memory {
    RingPositions positions;
    std::vector<Item> items;
  };

  static std::unique_ptr<Memory> make(std::size_t at_least) {
    auto memory = std::make_unique<Memory>();
    memory->items.resize(ring_capacity(at_least));
    return memory;
  }

  explicit OwnedRingBuffer(std::unique_ptr<Memory> memory)
      : RingBuffer<Item>(memory->positions, memory->items), memory_(std::move(memory)) {}

  std::unique_ptr<Memory> memory_;
};

}  // namespace brink::base
