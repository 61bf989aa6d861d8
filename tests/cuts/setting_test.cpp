#include "cuts/setting.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/units.h"
#include "cuts/score/loss_score.h"

using namespace brink;
using namespace brink::cuts;

TEST_CASE("nothing set loses nothing") {
  CHECK(mean_level_lost_db({}, 48000.0) == doctest::Approx(0.0));
}

TEST_CASE("a very wide cut loses its depth, a narrow one its area") {
  // Q 0.01 is flat over the nineteen bands to within 0.01 dB.
  CHECK(mean_level_lost_db({.high_pass = {}, .cuts = {{1000.0, 0.01, -6.0}}}, 192000.0) ==
        doctest::Approx(6.0).epsilon(0.005));
  // The closed form for a shallow cut: its dB over ln f is d / (1 + (2 Q x)^2) near to the centre,
  // area pi d / (2 Q); over 19/3 * 0.1 ln 10 * 3... the nineteen bands span 1.9 decades.
  const double depth_db = -0.5;
  const double q = 20.0;
  const double area_db = 0.5 * std::numbers::pi * -depth_db / q / (1.9 * std::numbers::ln10);
  // dB of a mean power instead of a mean of dB: second order in the depth, 2 % here.
  CHECK(mean_level_lost_db({.high_pass = {}, .cuts = {{1000.0, q, depth_db}}}, 192000.0) ==
        doctest::Approx(area_db).epsilon(0.03));
}

TEST_CASE("what lies outside 125 Hz to 8 kHz is not counted") {
  CHECK(mean_level_lost_db({.high_pass = {}, .cuts = {{40.0, 8.0, -12.0}}}, 48000.0) < 0.005);
  CHECK(mean_level_lost_db({.high_pass = {}, .cuts = {{16000.0, 8.0, -12.0}}}, 48000.0) < 0.01);
}

TEST_CASE("the search's running account of the loss agrees") {
  const Slot bands{Slot::Kind::kPeaking, {300.0, 2631.0}, {1.0, 10.0, 30.0}, {0.0, -6.0, -12.0}};
  const Slot high_pass{Slot::Kind::kHighPass, {80.0, 200.0}, {HighPass::kQ}, {0.0, -1.0}};
  const std::vector<Slot> slots{bands, bands, high_pass};
  const std::vector<Choice> choices{{0, 0, 1}, {1, 2, 2}, {1, 0, 1}};
  LossScore score(slots.size(), 48000.0);
  double lost_db = 0.0;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    lost_db = score.try_change_db(i, Shape(slots[i], choices[i], 48000.0));
    score.make_change();
  }
  // Fewer points to a band: 1 % of a narrow cut's area.
  CHECK(lost_db ==
        doctest::Approx(mean_level_lost_db(to_setting(slots, choices), 48000.0)).epsilon(0.01));
  for (std::size_t i = 0; i < slots.size(); ++i) {
    lost_db = score.try_change_db(i, Shape{});
    score.make_change();
  }
  CHECK(std::abs(lost_db) < 1e-4);  // single precision
}
