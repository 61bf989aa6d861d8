#include "ear/staircase.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loop/random.h"

using namespace brink::ear;
using brink::loop::Random;

namespace {

/// A trainee of known skill: right with a chance that falls from 1 to 0 around `half_level`.
double right_share(double level, double half_level, double width_levels) {
  return 1.0 / (1.0 + std::exp((level - half_level) / width_levels));
}

/// The share right at the level on which a long run settles.
double settled_share(double half_level, double width_levels, std::uint64_t seed) {
  constexpr int kTrials = 6000;
  Random random{seed};
  Staircase staircase(15, 0, false);
  for (int trial = 0; trial < kTrials; ++trial) {
    staircase.answer(random.uniform() < right_share(staircase.level(), half_level, width_levels));
  }
  return right_share(settled_level(staircase.turns(), 4), half_level, width_levels);
}

}  // namespace

TEST_CASE("two right in a row go up a level, one wrong goes down, and turns are kept") {
  Staircase staircase(15, 6, true);
  staircase.answer(true);
  CHECK(staircase.level() == 6);
  staircase.answer(true);
  CHECK(staircase.level() == 7);
  staircase.answer(true);
  staircase.answer(false);  // the one right before it does not count any more
  CHECK(staircase.level() == 6);
  staircase.answer(true);
  CHECK(staircase.level() == 6);
  staircase.answer(true);
  CHECK(staircase.level() == 7);
  CHECK(staircase.turns() == std::vector<int>{7, 6});
}

TEST_CASE("steps are of two levels until the first turn, and never leave the levels") {
  Staircase staircase(3, 0, false);
  staircase.answer(false);
  CHECK(staircase.level() == 0);
  for (int i = 0; i < 4; ++i) {
    staircase.answer(true);
  }
  CHECK(staircase.level() == 3);  // 0, 2, and not 4
  staircase.answer(false);
  CHECK(staircase.level() == 2);
  CHECK(Staircase(15, 99, true).level() == 15);
  CHECK(settled_level({}, 4) == 0.0);
}

// Source: H. Levitt, "Transformed up-down methods in psychoacoustics", J. Acoust. Soc. Am. 49(2),
// 467-477, 1971: two right in a row against one wrong converges to 70.7 % right.
TEST_CASE("trainees of known skill settle where they are right 70.7 % of the time") {
  constexpr double kPublished = 0.707;
  // Levels are whole numbers, and a skill that falls by a quarter from one to the next is asked for
  // in steps of that size: the rule is exact for small steps only.
  constexpr double kTolerance = 0.02;
  for (const double width_levels : {1.5, 2.0, 3.0}) {
    for (const double half_level : {7.0, 8.4, 10.0}) {
      const double share = settled_share(half_level, width_levels, 42);
      MESSAGE("half right at level " << half_level << ", width " << width_levels << ": settles at "
                                     << 100.0 * share << " % right");
      CHECK(std::abs(share - kPublished) < kTolerance);
    }
  }
}
