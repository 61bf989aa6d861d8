#include "base/triple_buffer.h"

#include <doctest/doctest.h>

#include <array>
#include <atomic>
#include <thread>

using namespace brink;

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("the reader sees the newest state, and keeps it until it asks again") {
  base::TripleBuffer<int> buffer(0);
  CHECK(buffer.newest() == 0);
  for (int value = 1; value <= 3; ++value) {
    buffer.back() = value;
    buffer.publish();
  }
  const int& seen = buffer.newest();
  CHECK(seen == 3);
  buffer.back() = 4;
  buffer.publish();
  buffer.back() = 5;
  buffer.publish();
  CHECK(seen == 3);
  CHECK(buffer.newest() == 5);
  CHECK(buffer.newest() == 5);
}

// Under preset tsan this is the proof that the sides never touch the same state.
TEST_CASE("a state is never seen half-written, and never an older one after a newer") {
  using State = std::array<int, 64>;
  base::TripleBuffer<State> buffer(State{});
  std::atomic<bool> is_over{false};
  constexpr int kStates = 50000;
  std::jthread writer([&] {
    for (int value = 1; value <= kStates; ++value) {
      buffer.back().fill(value);
      buffer.publish();
    }
    is_over = true;
  });
  bool is_whole = true;
  int last = 0;
  while (last < kStates) {
    const bool was_over = is_over;
    const State& state = buffer.newest();
    for (const int value : state) {
      is_whole = is_whole && value == state.front();
    }
    is_whole = is_whole && state.front() >= last && (!was_over || state.front() == kStates);
    last = state.front();
    if (!is_whole) {
      break;
    }
  }
  CHECK(is_whole);
}

TEST_SUITE_END();
