#include "io/live/late_cycles.h"

#include <doctest/doctest.h>

#include <random>
#include <utility>

using namespace brink;

namespace {

constexpr double kPeriodS = 32.0 / 48000.0;

/// Blocks of 32 samples whose callbacks come up to 3 ms late, for 20 s. Every fifth of a second the
/// server says that a cycle was late. At 10 s `lost_s` are lost. Returns how often a loss was told
/// before and after that.
std::pair<int, int> told(double lost_s) {
  std::mt19937 random(7);
  io::LateCycles cycles;
  std::pair<int, int> told{0, 0};
  const int count = static_cast<int>(20.0 / kPeriodS);
  for (int block = 0; block < count; ++block) {
    const double counted_s = block * kPeriodS;
    const bool is_after = counted_s >= 10.0;
    const double late_s = 0.003 * static_cast<double>(random() % 1000) / 1000.0;
    const double clock_s = 4000.0 + counted_s + late_s + (is_after ? lost_s : 0.0);
    const bool is_loss = is_after && counted_s < 10.0 + kPeriodS;
    const bool is_late = block % 300 == 0 || is_loss;
    if (cycles.look(clock_s, counted_s, is_late)) {
      ++(is_after ? told.second : told.first);
    }
  }
  return told;
}

}  // namespace

TEST_CASE("late cycles that lost nothing are not told, and a loss is told once") {
  CHECK(told(0.0) == std::pair(0, 0));
  CHECK(told(0.005) == std::pair(0, 1));
  CHECK(told(0.1) == std::pair(0, 1));
}
