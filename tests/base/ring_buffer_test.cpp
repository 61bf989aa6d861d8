#include "base/ring_buffer.h"

#include <doctest/doctest.h>

#include <cstdint>
#include <numeric>
#include <random>
#include <thread>

using namespace brink;

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("what goes in comes out, in order, round the end of the ring many times") {
  base::OwnedRingBuffer<int> ring(8);
  int next_in = 0;
  int next_out = 0;
  std::mt19937 random(7);
  for (int turn = 0; turn < 1000; ++turn) {
    std::vector<int> in(random() % 9U);
    std::iota(in.begin(), in.end(), next_in);
    const std::size_t room = ring.capacity() - ring.available();
    REQUIRE(ring.push(in) == (in.size() <= room));
    next_in += in.size() <= room ? static_cast<int>(in.size()) : 0;
    std::vector<int> out(random() % 9U);
    const std::size_t count = ring.pull(out);
    for (std::size_t i = 0; i < count; ++i) {
      REQUIRE(out[i] == next_out++);
    }
    REQUIRE(ring.available() == static_cast<std::size_t>(next_in - next_out));
  }
  CHECK(next_out > 1000);
}

TEST_CASE("a full ring refuses all of a block and keeps what it has") {
  base::OwnedRingBuffer<float> ring(4);
  REQUIRE(ring.capacity() == 4);
  const std::vector<float> three{1.0F, 2.0F, 3.0F};
  CHECK(ring.push(three));
  CHECK_FALSE(ring.push(three));
  CHECK(ring.push(4.0F));
  CHECK_FALSE(ring.push(5.0F));
  std::vector<float> out(9);
  CHECK(ring.pull(out) == 4);
  CHECK(out[0] == 1.0F);
  CHECK(out[3] == 4.0F);
  CHECK(ring.pull(out) == 0);
  CHECK(ring.push(std::vector<float>(4)));
  CHECK_FALSE(ring.push(std::vector<float>(5)));
}

TEST_CASE("a capacity is the next power of two") {
  CHECK(base::ring_capacity(0) == 1);
  CHECK(base::ring_capacity(1) == 1);
  CHECK(base::ring_capacity(5) == 8);
  CHECK(base::ring_capacity(4096) == 4096);
}

// Under preset tsan this is the proof that the two positions alone keep the sides apart.
TEST_CASE("two threads hand over a long stream unbroken") {
  constexpr std::uint64_t kItems = 300000;
  base::OwnedRingBuffer<std::uint64_t> ring(256);
  std::jthread writer([&] {
    std::mt19937 random(11);
    std::vector<std::uint64_t> block;
    for (std::uint64_t next = 0; next < kItems;) {
      block.resize(std::min<std::uint64_t>(1U + random() % 200U, kItems - next));
      std::iota(block.begin(), block.end(), next);
      if (ring.push(block)) {
        next += block.size();
      } else {
        std::this_thread::yield();
      }
    }
  });
  std::mt19937 random(13);
  std::vector<std::uint64_t> block;
  std::uint64_t expected = 0;
  bool is_unbroken = true;
  while (expected < kItems) {
    block.resize(1U + random() % 300U);
    const std::size_t count = ring.pull(block);
    for (std::size_t i = 0; i < count; ++i) {
      is_unbroken = is_unbroken && block[i] == expected++;
    }
    if (count == 0) {
      std::this_thread::yield();
    }
  }
  CHECK(is_unbroken);
  CHECK(ring.available() == 0);
}

TEST_SUITE_END();
