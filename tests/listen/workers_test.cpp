#include "listen/workers.h"

#include <doctest/doctest.h>

#include <array>
#include <atomic>
#include <cstddef>
#include <stdexcept>

using brink::listen::Workers;

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("each piece is done once in every run, with one worker or several") {
  for (const int count : {1, 3}) {
    Workers workers(count);
    std::array<std::atomic<int>, 7> done{};
    for (int run = 1; run <= 50; ++run) {
      workers.run(done.size(), [&](std::size_t piece) { ++done[piece]; });
      for (const std::atomic<int>& times : done) {
        CHECK(times == run);
      }
    }
  }
}

TEST_CASE("what a piece throws comes out of the run, the others are done, and the next run works") {
  for (const int count : {1, 3}) {
    Workers workers(count);
    std::atomic<int> done{0};
    CHECK_THROWS_AS(workers.run(7,
                                [&](std::size_t piece) {
                                  ++done;
                                  if (piece == 2) {
                                    throw std::runtime_error("a piece");
                                  }
                                }),
                    std::runtime_error);
    CHECK(done == 7);
    CHECK_NOTHROW(workers.run(7, [&](std::size_t) { ++done; }));
    CHECK(done == 14);
  }
}

TEST_SUITE_END();
