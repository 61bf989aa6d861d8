#include "desk/true_gain.h"

#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <cmath>
#include <memory>
#include <thread>

#include "desk/stage_source.h"
#include "loop/stage.h"

using namespace brink;

namespace {

constexpr double kRateHz = 48000.0;

/// Whether a click in the running stage has died away 4 s later: the closed loop itself, sample by
/// sample.
bool dies_away(const loop::StageConfig& config, const cuts::Setting& setting, double fader_db) {
  loop::Stage stage(config);
  REQUIRE(stage.set_equaliser(cuts::to_sections(setting, kRateHz)));
  stage.set_fader_db(fader_db);
  std::array<float, 480> block{};
  double early = 0.0;
  double late = 0.0;
  for (int n = 0; n < 400; ++n) {
    block.fill(0.0F);
    block[0] = n == 10 ? 1e-3F : 0.0F;  // far below the limiter
    stage.process(block, block);
    double power = 0.0;
    for (const float sample : block) {
      power += static_cast<double>(sample) * static_cast<double>(sample);
    }
    early += n >= 150 && n < 200 ? power : 0.0;
    late += n >= 350 ? power : 0.0;
  }
  return late < early;
}

/// Waits as long as the machine takes to work it out.
double awaited_db(desk::TrueGain& gain) {
  while (!gain.won_db()) {
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
    gain.update();
  }
  return *gain.won_db();
}

double won_db(const std::shared_ptr<const loop::StageConfig>& stage, const cuts::Setting& setting) {
  desk::TrueGain gain([] {});
  gain.set_stage(stage);
  CHECK(gain.won_db().value_or(99.0) == 0.0);  // flat
  gain.set_equaliser(setting);
  CHECK_FALSE(gain.won_db().has_value());
  return awaited_db(gain);
}

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("what a stage is said to win is where its closed loop really turns") {
  const auto stage = std::make_shared<const loop::StageConfig>(desk::practice_scene(3).stage);
  cuts::Setting setting;
  setting.cuts = {{2002.7, 8.0, -6.0}, {5424.0, 8.0, -3.0}};
  const double db = won_db(stage, setting);
  CHECK(db > 1.0);
  // A tenth of a dB beside the brink, once around the loop in 60 ms at most: 3 dB or more between
  // the two spans compared.
  CHECK(dies_away(*stage, setting, db - 0.1));
  CHECK_FALSE(dies_away(*stage, setting, db + 0.1));
}

TEST_CASE("the newest setting counts, and without a stage nothing is said") {
  const auto stage = std::make_shared<const loop::StageConfig>(desk::practice_scene(3).stage);
  desk::TrueGain gain([] {});
  gain.set_stage(stage);
  cuts::Setting setting;
  setting.cuts = {{2002.7, 8.0, -6.0}};
  gain.set_equaliser(setting);
  gain.set_equaliser({});  // while the other is being worked out
  CHECK(awaited_db(gain) == 0.0);
  gain.set_stage(nullptr);
  gain.update();
  CHECK_FALSE(gain.won_db().has_value());
}

TEST_SUITE_END();
