#include "loop/stage.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "base/error.h"
#include "base/units.h"
#include "loop/limiter.h"
#include "loop/room.h"
#include "support/noise.h"
#include "support/slow_stage.h"

using namespace brink::loop;
using brink::base::Biquad;
using brink::base::db_to_amplitude;
using brink::base::Error;
using brink::tests::flat_noise;
using brink::tests::SlowStage;

namespace {

RoomConfig small_room(std::uint64_t seed) {
  RoomConfig room;
  room.length_m = 5.0;
  room.width_m = 4.0;
  room.height_m = 2.8;
  room.t60_s = 0.15;
  room.seed = seed;
  place_wedge(room, 0.8, 60.0);
  return room;
}

std::vector<double> scaled(std::vector<double> response, double gain) {
  for (double& tap : response) {
    tap *= gain;
  }
  return response;
}

std::vector<double> delayed(const std::vector<double>& response, std::size_t delay) {
  std::vector<double> later(delay);
  later.insert(later.end(), response.begin(), response.end());
  return later;
}

std::vector<float> run(Stage& stage, const std::vector<float>& programme) {
  std::vector<float> tap(programme.size());
  stage.process(programme, tap);
  return tap;
}

double largest_difference(const std::vector<float>& a, const std::vector<double>& b) {
  double largest = 0.0;
  for (std::size_t n = 0; n < a.size(); ++n) {
    largest = std::max(largest, std::abs(static_cast<double>(a[n]) - b[n]));
  }
  return largest;
}

// -6 dB at 1 kHz, Q 4, cookbook peaking at 48 kHz, as numbers: the stage is given sections, not
// designs.
constexpr Biquad kCut{0.988763015, -1.938220252, 0.966182063, -1.938220252, 0.954945078};

}  // namespace

// The two agree to rounding in double precision as long as the loop does not blow rounding up; the
// tap is rounded to float at the end, 6e-8 of full scale.
TEST_CASE("the block simulation equals one sample by sample to 1e-6") {
  const std::vector<double> here = room_response(small_room(1));
  const std::vector<double> there = room_response(small_room(2));
  const std::vector<float> programme = flat_noise(24000, 0.02);
  // From far under the brink to well beyond it and into the limiter.
  for (const double top_db : {-20.0, 20.0}) {
    for (const double console_delay_s : {0.0, 0.0015, 0.02}) {
      CAPTURE(top_db);
      CAPTURE(console_delay_s);
      StageConfig config;
      config.response = scaled(here, 0.2);
      config.moved_response = scaled(there, 0.3);
      config.console_delay_s = console_delay_s;
      config.plan.gain_db = ramp(-30.0, top_db, 0.05, 0.3);
      config.plan.position = ramp(0.0, 1.0, 0.1, 0.4);
      SlowStage slow;
      const auto delay = static_cast<std::size_t>(std::lround(console_delay_s * 48000.0));
      slow.response = delayed(config.response, delay);
      slow.moved_response = delayed(config.moved_response, delay);
      slow.limit_lin = db_to_amplitude(config.limit_dbfs);
      slow.gain_lin = [&](double time_s) {
        return db_to_amplitude(-30.0 +
                               (top_db + 30.0) * std::clamp((time_s - 0.05) / 0.25, 0.0, 1.0));
      };
      slow.position = [](double time_s) { return std::clamp((time_s - 0.1) / 0.3, 0.0, 1.0); };
      Stage stage{config};
      const std::vector<float> fast = run(stage, programme);
      const std::vector<double> truth = slow.run(programme);
      CHECK(largest_difference(fast, truth) < 1e-6);
      const float loudest = *std::max_element(fast.begin(), fast.end());
      CHECK(loudest >
            (top_db > 0.0 ? 0.04F : 0.019F));  // the loud case did ring; the limiter holds it there
    }
  }
}

TEST_CASE("an equaliser in the loop does what its sections do") {
  StageConfig config;
  config.response = scaled(room_response(small_room(3)), 0.2);
  config.plan.equaliser = {{-1.0, {kCut, kCut}}};
  SlowStage slow;
  slow.response = delayed(config.response, 72);
  slow.sections = {kCut, kCut};
  slow.limit_lin = db_to_amplitude(config.limit_dbfs);
  std::vector<float> programme = flat_noise(24000, 0.02);
  // Silent while the equaliser fades in, so that both start alike.
  std::fill(programme.begin(), programme.begin() + 2000, 0.0F);
  Stage stage{config};
  CHECK(largest_difference(run(stage, programme), slow.run(programme)) < 1e-6);
}

TEST_CASE("the same samples come out however they are cut into blocks") {
  StageConfig config;
  config.response = scaled(room_response(small_room(1)), 0.5);
  config.plan.gain_db = ramp(-20.0, 10.0, 0.0, 0.4);
  config.plan.equaliser = {{0.2, {kCut}}};
  const std::vector<float> programme = flat_noise(30000, 0.02);
  Stage whole{config};
  const std::vector<float> expected = run(whole, programme);
  Stage cut{config};
  std::vector<float> tap(programme.size());
  std::mt19937 random{3};
  for (std::size_t at = 0; at < programme.size();) {
    const std::size_t count = std::min<std::size_t>(random() % 700, programme.size() - at);
    cut.process({programme.data() + at, count}, {tap.data() + at, count});
    at += count;
  }
  CHECK(tap == expected);
  CHECK(cut.sample_index() == 30000);
}

TEST_CASE("output and listener taps") {
  StageConfig config;
  config.response = delayed({0.1}, 100);
  config.console_delay_s = 0.0;
  std::vector<float> click(400);
  click[0] = 0.25F;
  config.tap = Tap::kOutput;
  config.plan.gain_db = Lines{6.0};
  Stage output{config};
  const double gain = db_to_amplitude(6.0);
  const std::vector<float> at_output = run(output, click);
  CHECK(static_cast<double>(at_output[0]) ==
        doctest::Approx(soft_limit(0.25 * gain, db_to_amplitude(-6.0))));
  CHECK(static_cast<double>(at_output[100]) ==
        doctest::Approx(static_cast<double>(at_output[0]) * 0.1 * gain));
  config.tap = Tap::kListener;
  CHECK_THROWS_AS(Stage{config}, Error);
  config.listener_response = delayed({0.5}, 150);
  Stage listener{config};
  const std::vector<float> at_listener = run(listener, click);
  CHECK(at_listener[0] == 0.0F);
  CHECK(static_cast<double>(at_listener[150]) ==
        doctest::Approx(static_cast<double>(at_output[0]) * 0.5));
}

TEST_CASE("the fader moves the gain without a step, and the limiter holds") {
  StageConfig config;
  config.response = delayed({0.5}, 100);
  config.tap = Tap::kOutput;
  config.limit_dbfs = -6.0;
  Stage stage{config};
  const std::vector<float> steady(4800, 0.01F);
  const double before = static_cast<double>(run(stage, steady).back());
  CHECK(before == doctest::Approx(0.01 / (1.0 - 0.5)).epsilon(1e-3));
  stage.set_fader_db(-20.0);
  const std::vector<float> after = run(stage, std::vector<float>(48000, 0.01F));
  CHECK(static_cast<double>(after.back()) == doctest::Approx(0.001 / (1.0 - 0.05)).epsilon(1e-3));
  for (std::size_t n = 1; n < after.size(); ++n) {
    CHECK(std::abs(after[n] - after[n - 1]) < 2e-3F);
  }
  stage.set_fader_db(60.0);
  const std::vector<float> loud = run(stage, std::vector<float>(48000, 0.01F));
  CHECK(static_cast<double>(*std::max_element(loud.begin(), loud.end())) <= db_to_amplitude(-6.0));
}

TEST_CASE("an equaliser set while running lowers a ring, too many sections change nothing") {
  StageConfig config;
  // A resonance at 1 kHz in the loop, a decaying cosine: 4 dB in two whole turns.
  config.response.assign(4800, 0.0);
  for (std::size_t n = 96; n < config.response.size(); ++n) {
    const double time_s = static_cast<double>(n - 96) / 48000.0;
    config.response[n] =
        0.002 * std::exp(-30.0 * time_s) * std::cos(2.0 * 3.14159265 * 1000.0 * time_s);
  }
  config.console_delay_s = 0.0;
  config.plan.gain_db = Lines{2.0};
  Stage stage{config};
  const std::vector<float> programme = flat_noise(96000, 1e-4);
  const std::vector<float> rings = run(stage, programme);
  CHECK(*std::max_element(rings.end() - 4800, rings.end()) > 0.05F);
  CHECK_FALSE(stage.set_equaliser(std::vector<Biquad>(Equaliser::kMostSections + 1)));
  CHECK(stage.set_equaliser(std::vector<Biquad>{kCut, kCut}));
  const std::vector<float> quiet = run(stage, programme);
  CHECK(*std::max_element(quiet.end() - 4800, quiet.end()) < 0.01F);
}

TEST_CASE("silence stays silence, and what is not a number does no harm") {
  StageConfig config;
  config.response = scaled(room_response(small_room(1)), 0.5);
  Stage stage{config};
  const std::vector<float> nothing = run(stage, std::vector<float>(5000));
  CHECK(std::all_of(nothing.begin(), nothing.end(), [](float x) { return x == 0.0F; }));
  const float nan = std::numeric_limits<float>::quiet_NaN();
  const float infinity = std::numeric_limits<float>::infinity();
  const std::vector<float> out =
      run(stage, std::vector<float>{0.1F, nan, infinity, -infinity, 0.1F});
  CHECK(std::all_of(out.begin(), out.end(), [](float x) { return std::isfinite(x); }));
  stage.set_fader_db(static_cast<double>(nan));
  const std::vector<float> later = run(stage, std::vector<float>(5000, 0.001F));
  CHECK(std::all_of(later.begin(), later.end(), [](float x) { return std::isfinite(x); }));
}

TEST_CASE("a stage that cannot be is refused with the field named") {
  StageConfig config;
  CHECK_THROWS_AS(Stage{config}, Error);
  config.response = {0.5};
  config.console_delay_s = 0.0;
  CHECK_THROWS_AS(Stage{config}, Error);  // no delay at all
  config.console_delay_s = -1.0;
  CHECK_THROWS_WITH_AS(Stage{config}, "console delay must be 0 to 0.5 s; got -1.", Error);
  config.console_delay_s = 0.01;
  config.limit_dbfs = 3.0;
  CHECK_THROWS_WITH_AS(Stage{config}, "limit must be -60 to 0 dBFS; got 3.", Error);
  config.limit_dbfs = -6.0;
  config.response.push_back(std::nan(""));
  CHECK_THROWS_AS(Stage{config}, Error);
  CHECK_THROWS_AS(Lines(std::vector<Lines::Point>{}), Error);
  CHECK_THROWS_AS((Lines{{{1.0, 0.0}, {0.5, 0.0}}}), Error);
}

TEST_CASE("plans: lines, ramps and steps") {
  const Lines line = ramp(-6.0, 3.0, 1.0, 4.0);
  CHECK(line.value_at(0.0) == -6.0);
  CHECK(line.value_at(2.0) == doctest::Approx(-3.0));
  CHECK(line.value_at(9.0) == 3.0);
  const Lines stairs = steps(-6.0, 0.0, 1.0, 3.0, 3);
  CHECK(stairs.value_at(0.99) == -6.0);
  CHECK(stairs.value_at(1.01) == doctest::Approx(-4.0));
  CHECK(stairs.value_at(2.01) == doctest::Approx(-2.0));
  CHECK(stairs.value_at(3.01) == doctest::Approx(0.0));
}

TEST_CASE("two loudspeakers around one microphone are one loop with the sum of their ways") {
  StageConfig a;
  a.response = scaled(room_response(small_room(1)), 0.3);
  StageConfig b = a;
  b.response = scaled(room_response(small_room(2)), 0.3);
  StageConfig both = a;
  both.response.resize(std::max(a.response.size(), b.response.size()));
  for (std::size_t n = 0; n < b.response.size(); ++n) {
    both.response[n] += b.response[n];
  }
  const std::vector<float> programme = flat_noise(24000, 0.02);
  std::vector<Stage> pair;
  pair.emplace_back(a);
  pair.emplace_back(b);
  std::vector<float> tap(programme.size());
  process_together(pair, programme, tap);
  Stage one{both};
  const std::vector<float> sum = run(one, programme);
  // Rings at its limit: what differs is rounding, in another order, of float samples below 1.
  CHECK(largest_difference(tap, {sum.begin(), sum.end()}) < 1e-6);

  // One that is closed is not heard.
  pair.clear();
  pair.emplace_back(a);
  pair.emplace_back(b).set_fader_db(-300.0);
  pair[1].process(std::vector<float>(4800),
                  std::span(tap).first(4800));  // until the fader is there
  process_together(pair, programme, tap);
  Stage alone{a};
  const std::vector<float> heard = run(alone, programme);
  CHECK(largest_difference(tap, {heard.begin(), heard.end()}) < 1e-6);
}
