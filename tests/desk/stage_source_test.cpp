#include "desk/stage_source.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <thread>
#include <vector>

#include "base/units.h"
#include "cuts/cut.h"
#include "loop/open_loop.h"

using namespace brink;
using desk::StageControls;
using desk::StageSource;

namespace {

/// Reads until `seconds` of sound came; the last 0.2 s of it as a level.
double level_after(StageSource& source, double seconds) {
  std::vector<float> block(512);
  const auto wanted = static_cast<std::size_t>(seconds * source.sample_rate_hz());
  const auto last = static_cast<std::size_t>(0.2 * source.sample_rate_hz());
  double power = 0.0;
  std::size_t heard = 0;
  std::size_t counted = 0;
  while (heard < wanted) {
    const io::SourceReading reading = source.read(block);
    heard += reading.samples;
    if (heard > wanted - last) {
      for (std::size_t i = 0; i < reading.samples; ++i) {
        power += static_cast<double>(block[i]) * static_cast<double>(block[i]);
      }
      counted += reading.samples;
    }
  }
  return base::power_to_db(power / static_cast<double>(counted));
}

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("the stage runs in real time, not faster") {
  auto controls = std::make_shared<StageControls>();
  StageSource source(desk::practice_scene(1), controls);
  // What goes by before somebody listens is no time of the stage.
  std::this_thread::sleep_for(std::chrono::milliseconds(100));
  const auto start = std::chrono::steady_clock::now();
  (void)level_after(source, 1.0);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  // It may lag on a busy machine, but never runs ahead by more than the block that is due.
  CHECK(took.count() > 0.98);
}

TEST_CASE("over 0 dB the practice stage feeds back, with the cut at its ring it does not") {
  const loop::Scene scene = desk::practice_scene(1);
  const loop::OpenLoop loop(loop::loop_taps(scene.stage, 0.0), {}, scene.stage.sample_rate_hz);
  // What the fader is counted from: the loop stands on its brink at 0 dB.
  CHECK(loop::max_stable_gain_db(loop) == doctest::Approx(0.0).epsilon(0.01));

  auto controls = std::make_shared<StageControls>();
  controls->set_fader_db(3.0);
  StageSource source(scene, controls);
  const double ringing_dbfs = level_after(source, 2.5);
  CHECK(ringing_dbfs > -12.0);  // the limiter stands at -6 dBFS, peak

  controls->set_fader_db(-20.0);
  const double quiet_dbfs = level_after(source, 1.5);
  CHECK(quiet_dbfs < -30.0);
}

TEST_CASE("hands on the stage keep to their range") {
  StageControls controls;
  CHECK(controls.fader_db() == StageControls::kLowestFaderDb);
  controls.set_fader_db(99.0);
  CHECK(controls.fader_db() == StageControls::kHighestFaderDb);
  cuts::Setting setting;
  setting.cuts.assign(loop::Equaliser::kMostSections, {1000.0, 4.0, -3.0});
  CHECK(controls.set_equaliser(setting, 48000.0));
  setting.cuts.push_back({2000.0, 4.0, -3.0});
  CHECK_FALSE(controls.set_equaliser(setting, 48000.0));
}

TEST_CASE("each output of a stage is another loop, on its own brink at 0 dB") {
  std::vector<double> highest_hz;
  for (const std::size_t output : {0U, 1U, 2U}) {
    const loop::Scene scene = desk::practice_scene(3, output);
    const loop::OpenLoop loop(loop::loop_taps(scene.stage, 0.0), {}, scene.stage.sample_rate_hz);
    CHECK(loop::max_stable_gain_db(loop) == doctest::Approx(0.0).epsilon(0.01));
    const auto crossings = loop.crossings(loop.response(), -3.0);
    highest_hz.push_back(std::max_element(crossings.begin(), crossings.end(), [](auto a, auto b) {
                           return a.gain_db < b.gain_db;
                         })->frequency_hz);
  }
  // A semitone apart at least: no cut made for one serves the other.
  CHECK(std::abs(std::log2(highest_hz[0] / highest_hz[1])) > 1.0 / 12.0);
  CHECK(std::abs(std::log2(highest_hz[0] / highest_hz[2])) > 1.0 / 12.0);
  CHECK(std::abs(std::log2(highest_hz[1] / highest_hz[2])) > 1.0 / 12.0);
}

TEST_SUITE_END();
