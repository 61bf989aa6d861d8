#include "cuts/score/loop_score.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "base/units.h"
#include "cuts/loop_level.h"
#include "support/noise_loop.h"

using namespace brink;
using namespace brink::cuts;

namespace {

constexpr double kRateHz = 48000.0;

/// The plain product on the whole grid, nothing left out: the slow truth.
double slow_level_db(const tests::NoiseLoop& room, const Setting& setting) {
  auto gain = room.gain;
  for (std::size_t k = 0; k < gain.size(); ++k) {
    gain[k] *= response(setting, room.loop().frequency_hz(k), kRateHz);
  }
  return highest_crossing({room.step_hz, room.step_hz, gain}).level_db;
}

}  // namespace

TEST_CASE("the quick score follows the plain product through many changes") {
  const auto room = tests::make_noise_loop(3, 0.4);
  Slot slot;
  for (int i = 0; i < 60; ++i) {
    slot.centres_hz.push_back(100.0 * std::exp2(i / 9.0));
  }
  slot.qs = {2.0, 5.0, 12.0};
  slot.depths_db = {0.0, -3.0, -6.0, -9.0};
  const Slot high_pass{Slot::Kind::kHighPass, {60.0, 120.0}, {HighPass::kQ}, {0.0, -1.0}};
  const std::vector<Slot> slots{slot, slot, slot, slot, high_pass};
  std::vector<Choice> choices(slots.size());
  LoopScore score(room.loop(), slots.size(), kRateHz);
  const LoopLevel level(room.loop(), kRateHz);
  std::mt19937 engine(1);
  for (int change = 0; change < 60; ++change) {
    const std::size_t index = engine() % slots.size();
    choices[index] = {static_cast<int>(engine() % slots[index].centres_hz.size()),
                      static_cast<int>(engine() % slots[index].qs.size()),
                      static_cast<int>(engine() % slots[index].depths_db.size())};
    const Shape shape(slots[index], choices[index], kRateHz);
    const double power = score.try_change(index, shape, std::numeric_limits<double>::infinity());
    score.make_change();
    const double truth_db = slow_level_db(room, to_setting(slots, choices));
    CAPTURE(change);
    // Single precision, and neighbours interpolated after instead of before the equaliser.
    CHECK(std::abs(base::power_to_db(power) - truth_db) < 0.01);
    CHECK(std::abs(score.highest().level_db - truth_db) < 0.01);
    CHECK(level.highest_db(to_setting(slots, choices)) == doctest::Approx(truth_db).epsilon(1e-9));
  }
}

TEST_CASE("a try above its limit changes nothing") {
  const auto room = tests::make_noise_loop(4, 0.3);
  const Slot slot{Slot::Kind::kPeaking, {500.0}, {5.0}, {0.0, -6.0}};
  LoopScore score(room.loop(), 1, kRateHz);
  CHECK(std::abs(score.highest().level_db) < 0.01);
  CHECK(std::isinf(score.try_change(0, Shape(slot, {0, 0, 1}, kRateHz), 1e-6)));
  CHECK(std::abs(score.highest().level_db) < 0.01);
}

TEST_CASE("the soft level lies above the highest crossing and comes down to it") {
  const auto room = tests::make_noise_loop(5, 0.3);
  LoopScore score(room.loop(), 1, kRateHz);
  double last_db = std::numeric_limits<double>::infinity();
  for (const int doublings : {2, 3, 4, 5, Score::kHardest}) {
    score.set_sharpness(doublings);
    const double soft_db = base::power_to_db(score.soft_power());
    CHECK(soft_db < last_db);
    CHECK(soft_db > -0.01);
    last_db = soft_db;
  }
  CHECK(std::abs(last_db) < 0.01);
}
