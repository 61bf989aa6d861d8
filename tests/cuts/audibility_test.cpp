#include "cuts/audibility.h"

#include <doctest/doctest.h>

#include "cuts/planner.h"
#include "support/noise_loop.h"

using namespace brink::cuts;

TEST_CASE("cuts are heard from the published thresholds of resonances on") {
  // Toole and Olive 1988, read second-hand: 1.5, 3 and 5 dB at Q 1, 10 and 50.
  CHECK(audible_depth_db(1.0) == doctest::Approx(1.5));
  CHECK(audible_depth_db(10.0) == doctest::Approx(3.0).epsilon(0.01));
  CHECK(audible_depth_db(50.0) == doctest::Approx(5.0).epsilon(0.04));
  CHECK(audibility({1000.0, 10.0, -6.0}) == doctest::Approx(2.0).epsilon(0.01));
  CHECK(audibility({1000.0, 10.0, 0.0}) == 0.0);
  Setting setting;
  setting.high_pass.corner_hz = 80.0;
  setting.cuts = {{1000.0, 1.0, -1.0}, {2000.0, 10.0, -3.5}, {4000.0, 50.0, -4.5}};
  CHECK(audible_count(setting) == 1);
}

TEST_CASE("a plan that nobody is to hear has no cut over its threshold") {
  const brink::tests::NoiseLoop loop = brink::tests::make_noise_loop(3, 0.6);
  PlanConfig config;
  config.work = 400'000;
  config.sound = Sound::kInaudible;
  const Plan quiet = plan_for_loop(loop.loop(), *find_target("parametric"), config);
  CHECK(audible_count(quiet.setting()) == 0);
  CHECK(quiet.net_db() > 0.0);
  config.sound = Sound::kMostGain;
  const Plan loud = plan_for_loop(loop.loop(), *find_target("parametric"), config);
  CHECK(audible_count(loud.setting()) > 0);
  CHECK(loud.net_db() > quiet.net_db());
}
