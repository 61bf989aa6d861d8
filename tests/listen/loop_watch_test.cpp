#include "listen/loop_watch.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "loop/scene.h"

using namespace brink;
using listen::ForecastState;
using listen::LoopWatch;

namespace {

constexpr double kRateHz = 48000.0;

/// A stage whose loop is held this far from its brink, and the truth of that loop on its brink.
struct Held {
  std::vector<float> samples;
  double first_hz;
};

Held hold(loop::ProgrammeKind programme, const loop::Lines& gain_db, double length_s) {
  loop::SceneOptions options;
  options.room.t60_s = 0.6;
  options.room.seed = 5;
  options.programme.kind = programme;
  options.length_s = length_s;
  options.gain_db = loop::Lines(-0.01);
  loop::Scene scene = loop::build_scene(options);
  const auto truth = loop::loop_truth(scene.stage, 0.1).near_brink;
  const auto first = std::max_element(truth.begin(), truth.end(), [](const auto& a, const auto& b) {
    return a.highest.gain_db < b.highest.gain_db;
  });
  scene.stage.plan.gain_db = gain_db;
  return {loop::render(scene).samples, first->highest.frequency_hz};
}

bool names(const listen::Forecast& forecast, double frequency_hz) {
  const auto& places = forecast.places;
  return std::any_of(
      places.begin(),
      places.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(3, places.size())),
      [&](const auto& place) { return std::abs(place.frequency_hz - frequency_hz) < 3.0; });
}

}  // namespace

TEST_CASE("noise in a loop foretells where it will ring and how many decibels are left") {
  for (const double left_db : {6.0, 3.0, 2.0, 1.0}) {
    CAPTURE(left_db);
    const Held held = hold(loop::ProgrammeKind::kPinkNoise, loop::Lines(-left_db), 25.0);
    LoopWatch watch(kRateHz);
    watch.push(held.samples);
    const listen::Forecast& forecast = watch.forecast();
    REQUIRE(forecast.state == ForecastState::kTold);
    CHECK(forecast.heard_s == 24.0);
    // At 6 dB many places lie within the uncertainty of the first.
    CHECK((left_db > 3.0 || names(forecast, held.first_hz)));
    // What is aimed at: within 1 dB.
    CHECK(std::abs(forecast.places.front().left_db - left_db) < 1.0);
    CHECK(forecast.places.front().left_sd_db > 0.0);
    CHECK(forecast.places.front().decay_db_per_s > 0.0);
  }
}

TEST_CASE("the forecast follows when the gain is raised") {
  // 6 dB under the brink, then 2 dB.
  const Held held =
      hold(loop::ProgrammeKind::kPinkNoise, loop::steps(-6.0, -2.0, 24.5, 24.5, 1), 49.0);
  LoopWatch watch(kRateHz);
  watch.push(held.samples);
  REQUIRE(watch.forecast().state == ForecastState::kTold);
  CHECK(watch.forecast().heard_s < 25.0);
  CHECK(std::abs(watch.forecast().places.front().left_db - 2.0) < 1.0);
}

TEST_CASE("music that repeats its notes gives no forecast") {
  const Held held = hold(loop::ProgrammeKind::kMusic, loop::Lines(-6.0), 25.0);
  LoopWatch watch(kRateHz);
  watch.push(held.samples);
  CHECK(watch.forecast().state != ForecastState::kTold);
  CHECK(watch.forecast().places.empty());
}

TEST_CASE("a forecast waits for enough sound, and does not depend on the blocks") {
  const Held held = hold(loop::ProgrammeKind::kPinkNoise, loop::Lines(-2.0), 19.0);
  LoopWatch whole(kRateHz);
  LoopWatch cut(kRateHz);
  CHECK(whole.forecast().serial == 0);
  const std::span<const float> samples(held.samples);
  whole.push(samples.first(static_cast<std::size_t>(17.0 * kRateHz)));
  CHECK(whole.forecast().state == ForecastState::kWaiting);
  CHECK(whole.forecast().serial == 2);
  whole.push(samples.subspan(static_cast<std::size_t>(17.0 * kRateHz)));
  for (std::size_t at = 0; at < samples.size(); at += 777) {
    cut.push(samples.subspan(at, std::min<std::size_t>(777, samples.size() - at)));
  }
  REQUIRE(whole.forecast().state == ForecastState::kTold);
  REQUIRE(cut.forecast().places.size() == whole.forecast().places.size());
  CHECK(cut.forecast().places.front().left_db == whole.forecast().places.front().left_db);
  whole.reset();
  CHECK(whole.forecast().state == ForecastState::kWaiting);
  CHECK(whole.forecast().places.empty());
}

TEST_CASE("silence gives no forecast, at any sample rate") {
  for (const double rate_hz : {8000.0, 16000.0, 44100.0, 96000.0, 192000.0}) {
    LoopWatch watch(rate_hz);
    watch.push(std::vector<float>(static_cast<std::size_t>(13.0 * rate_hz)));
    CHECK(watch.forecast().state == ForecastState::kWaiting);
    CHECK(watch.forecast().places.empty());
  }
}
