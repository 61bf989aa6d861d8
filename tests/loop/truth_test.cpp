#include "loop/truth.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "loop/band_limits.h"
#include "loop/label.h"
#include "loop/programme.h"
#include "loop/room.h"

using namespace brink::loop;
using brink::base::Biquad;
using brink::base::db_to_amplitude;

namespace {

// -6 dB at 1 kHz, Q 4, cookbook peaking at 48 kHz.
constexpr Biquad kCut{0.988763015, -1.938220252, 0.966182063, -1.938220252, 0.954945078};

/// A loop with one resonance at 1 kHz that passes the brink at a gain of 0 dB, and a second one at
/// 700 Hz, 2 dB below it.
StageConfig two_resonances() {
  StageConfig config;
  config.console_delay_s = 0.0;
  config.response.assign(24000, 0.0);
  for (std::size_t n = 480; n < config.response.size(); ++n) {
    const double time_s = static_cast<double>(n - 480) / 48000.0;
    config.response[n] =
        std::exp(-20.0 * time_s) * (std::cos(2.0 * 3.14159265 * 1000.0 * time_s) +
                                    0.79 * std::cos(2.0 * 3.14159265 * 700.0 * time_s));
  }
  const double gain = db_to_amplitude(max_stable_gain_db(OpenLoop{config.response, {}, 48000.0}));
  for (double& tap : config.response) {
    tap *= gain;
  }
  return config;
}

std::vector<float> run(const StageConfig& config, const std::vector<float>& programme) {
  Stage stage{config};
  std::vector<float> tap(programme.size());
  stage.process(programme, tap);
  return tap;
}

std::vector<float> quiet_programme(double length_s) {
  ProgrammeConfig config;
  config.kind = ProgrammeKind::kSilence;
  Programme programme{config};
  std::vector<float> samples(static_cast<std::size_t>(length_s * 48000.0));
  programme.fill(samples);
  return samples;
}

StageConfig cut_open(StageConfig config) {
  std::fill(config.response.begin(), config.response.end(), 0.0);
  std::fill(config.moved_response.begin(), config.moved_response.end(), 0.0);
  return config;
}

}  // namespace

TEST_CASE("a gain ramp: each frequency passes the brink when the plan's gain reaches its own") {
  StageConfig config = two_resonances();
  config.plan.gain_db = ramp(-10.0, 3.0, 1.0, 6.0);  // 2.6 dB/s
  const LoopTruth truth = loop_truth(config, 10.0);
  std::vector<const NearBrink*> unstable;
  for (const NearBrink& near : truth.near_brink) {
    if (near.unstable_s != kNeverS) {
      unstable.push_back(&near);
    }
  }
  REQUIRE(unstable.size() == 2);
  const NearBrink& lower = *unstable[0];
  const NearBrink& upper = *unstable[1];
  CHECK(std::abs(lower.highest.frequency_hz - 700.0) < 5.0);
  CHECK(std::abs(upper.highest.frequency_hz - 1000.0) < 5.0);
  CHECK(upper.unstable_s == doctest::Approx(1.0 + 10.0 / 2.6).epsilon(1e-6));
  CHECK(upper.highest.gain_db == doctest::Approx(3.0).epsilon(1e-6));
  CHECK(lower.unstable_s - upper.unstable_s ==
        doctest::Approx((3.0 - lower.highest.gain_db) / 2.6).epsilon(1e-3));
  CHECK(upper.stable_again_s == kNeverS);
  CHECK(upper.low_hz == upper.high_hz);
  REQUIRE(upper.pole.has_value());
  CHECK(upper.pole->growth_db_per_s > 0.0);
  REQUIRE(truth.stable_gain.size() == 1);
  CHECK(truth.stable_gain[0].gain_db == doctest::Approx(0.0).epsilon(1e-9));
  // Every near-brink frequency, unstable or not, lies within 3 dB at the plan's highest gain.
  for (const NearBrink& near : truth.near_brink) {
    CHECK(near.highest.gain_db >= -kNearBrinkDb);
  }
}

TEST_CASE("a gain that never comes near the brink has no truth to tell") {
  StageConfig config = two_resonances();
  config.plan.gain_db = Lines{-3.5};
  const LoopTruth truth = loop_truth(config, 5.0);
  CHECK(truth.near_brink.empty());
  CHECK(truth.stable_gain.front().gain_db == doctest::Approx(0.0).epsilon(1e-9));
}

TEST_CASE("a cut makes the ring stable again and buys stable gain") {
  StageConfig config = two_resonances();
  config.plan.gain_db = Lines{1.0};
  config.plan.equaliser = {{3.0, {kCut}}};
  const LoopTruth truth = loop_truth(config, 6.0);
  const auto ring = std::find_if(truth.near_brink.begin(),
                                 truth.near_brink.end(),
                                 [](const auto& near) { return near.unstable_s != kNeverS; });
  REQUIRE(ring != truth.near_brink.end());
  CHECK(ring->unstable_s == 0.0);
  CHECK(std::abs(ring->stable_again_s - 3.015) < 0.01);
  REQUIRE(truth.stable_gain.size() == 2);
  CHECK(truth.stable_gain[1].gain_db > 1.5);  // now 700 Hz, two dB lower, decides
}

TEST_CASE("a moving microphone: between its places the loop is the mixture that the stage hears") {
  RoomConfig room;
  room.t60_s = 0.3;
  StageConfig config;
  place_wedge(room, 1.5, 120.0);
  config.response = room_response(room);
  room.microphone.x_m -= 0.02;
  config.moved_response = room_response(room);
  apply({90.0, 14000.0}, 48000.0, config.response);
  apply({90.0, 14000.0}, 48000.0, config.moved_response);
  const double brink_db = max_stable_gain_db(OpenLoop{loop_taps(config, 0.5), {}, 48000.0});
  config.plan.gain_db = Lines{brink_db + 1.0};
  config.plan.position = ramp(0.0, 1.0, 1.0, 3.0);
  const LoopTruth truth = loop_truth(config, 4.0);
  REQUIRE(truth.stable_gain.size() == 2);
  // Half way, at 2 s, the loop is exactly 1 dB over.
  double highest_db = -100.0;
  for (const NearBrink& near : truth.near_brink) {
    for (const NearBrink::Moment& moment : near.path) {
      if (std::abs(moment.time_s - 2.0) < 1e-6) {
        highest_db = std::max(highest_db, moment.gain_db);
      }
    }
    CHECK(near.low_hz <= near.high_hz);
  }
  CHECK(highest_db == doctest::Approx(1.0).epsilon(1e-6));
}

TEST_CASE("labels: the ring that is heard, from when it stands over the programme") {
  StageConfig config = two_resonances();
  config.plan.gain_db = ramp(-10.0, 1.5, 0.0, 3.0);
  const std::vector<float> programme = quiet_programme(9.0);
  const std::vector<float> closed = run(config, programme);
  const std::vector<float> open = run(cut_open(config), programme);
  CHECK(open == programme);
  const LoopTruth truth = loop_truth(config, 9.0);
  const std::vector<RingLabel> rings = label_rings(truth, closed, open, 48000.0);
  REQUIRE(rings.size() == 1);
  const RingLabel& ring = rings.front();
  CHECK(std::abs(ring.pole_hz - 1000.0) < 3.0);
  CHECK(ring.dominant_s > ring.unstable_s - 0.2);
  CHECK(ring.dominant_s < 6.0);
  // The limiter holds the output at -6 dBFS; the microphone hears it through a gain of 1 at the
  // ring.
  CHECK(ring.peak_dbfs < -4.0);
  CHECK(ring.peak_dbfs > -9.0);
  CHECK(ring.excess_db == doctest::Approx(1.5).epsilon(1e-6));
}

TEST_CASE("labels: a loop below its brink has none") {
  StageConfig config = two_resonances();
  config.plan.gain_db = Lines{-0.5};
  const std::vector<float> programme = quiet_programme(3.0);
  const std::vector<RingLabel> rings = label_rings(
      loop_truth(config, 3.0), run(config, programme), run(cut_open(config), programme), 48000.0);
  CHECK(rings.empty());
}
