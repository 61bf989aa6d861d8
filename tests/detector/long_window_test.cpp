#include "detector/long_window.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "support/tones.h"

using namespace brink::detector;
using brink::tests::Tones;

namespace {

constexpr double kRateHz = 6000.0;
constexpr int kHop = 96;  // 16 ms
constexpr float kToneDbfs = -20.0F;

double steady(double /*now_s*/) {
  return static_cast<double>(kToneDbfs);
}

LongWindow listen(const std::vector<float>& samples) {
  LongWindow window{kRateHz, kHop};
  std::span<const float> rest{samples};
  for (; rest.size() >= kHop; rest = rest.subspan(kHop)) {
    window.advance(rest.first(kHop));
  }
  return window;
}

float measure(const LongLine& line, std::string_view name) {
  const auto names = long_measure_names();
  const auto found = std::find(names.begin(), names.end(), name);
  REQUIRE(found != names.end());
  return line.measures[static_cast<std::size_t>(found - names.begin())];
}

float age_looks(const LongLine& line) {
  return std::exp2(measure(line, "age, log2 looks"));
}

}  // namespace

TEST_CASE("the long window knows a steady tone for all that it is") {
  const LongWindow window = listen(Tones(8.0, kRateHz, -60.0).add(440.3, steady).samples());
  const std::optional<LongLine> line = window.line_at(440.0F, kToneDbfs);
  REQUIRE(line);
  CHECK(measure(*line, "prominence, dB") > 40.0F);
  CHECK(std::abs(measure(*line, "share of level, dB")) < 0.1F);
  CHECK(age_looks(*line) >= 24.0F);                    // 6 s of 8: it had to fill first
  CHECK(measure(*line, "scatter, log10 dB") < -1.0F);  // 0.05 dB are added
  CHECK(std::abs(measure(*line, "slope, dB a look")) < 0.01F);
  CHECK(measure(*line, "wander, log10 Hz") < -2.5F);  // 0.002 Hz are added
  CHECK(measure(*line, "over others, dB") > 20.0F);
  CHECK_FALSE(window.line_at(443.0F, kToneDbfs));
}

TEST_CASE("the long window tells lines 3 Hz apart") {
  const LongWindow window = listen(Tones(6.0, kRateHz, -60.0)
                                       .add(440.0, steady)
                                       .add(443.0, [](double) { return -30.0; })
                                       .samples());
  const std::optional<LongLine> upper = window.line_at(443.5F, -30.0F);
  const std::optional<LongLine> lower = window.line_at(439.0F, kToneDbfs);
  REQUIRE(lower);
  REQUIRE(upper);
  CHECK(std::abs(measure(*lower, "share of level, dB")) < 0.2F);
  CHECK(std::abs(measure(*upper, "share of level, dB")) < 0.5F);
  CHECK(measure(*upper, "over others, dB") == doctest::Approx(-10.0).epsilon(0.1));
  CHECK(measure(*lower, "standers, log2") >= 1.0F);  // each stands along with the other
}

TEST_CASE("a note that gives way to the next is no old line of the long window") {
  const auto scale = [](double now_s) { return 440.0 * std::exp2(std::floor(now_s / 0.5) / 12.0); };
  const LongWindow window = listen(Tones(6.0, kRateHz, -60.0).add_bent(scale, steady).samples());
  for (int half_hz = 860; half_hz < 1800; ++half_hz) {
    const float frequency_hz = 0.5F * static_cast<float>(half_hz);
    const auto line = window.line_at(frequency_hz, kToneDbfs);
    if (line && measure(*line, "share of level, dB") > -20.0F) {
      CAPTURE(frequency_hz);
      CHECK(age_looks(*line) <= 11.0F);  // a window and a note
    }
  }
}

TEST_CASE("the long window hears nothing in silence, and is quiet about it") {
  const LongWindow window = listen(std::vector<float>(static_cast<std::size_t>(5 * kRateHz)));
  for (int frequency_hz = 40; frequency_hz < 2400; ++frequency_hz) {
    CHECK_FALSE(window.line_at(static_cast<float>(frequency_hz), -100.0F));
  }
}

TEST_CASE("every measure of the long window is finite for any sound") {
  for (const double noise_dbfs : {-140.0, -20.0, 10.0}) {
    const Tones tones = Tones(7.0, kRateHz, noise_dbfs)
                            .add(50.0, [](double now_s) { return now_s > 5.0 ? 0.0 : -200.0; })
                            .add(1000.0, [](double now_s) { return -80.0 + 10.0 * now_s; });
    const LongWindow window = listen(tones.samples());
    int found = 0;
    for (int frequency_hz = 40; frequency_hz < 2400; ++frequency_hz) {
      if (const auto line = window.line_at(static_cast<float>(frequency_hz), -100.0F)) {
        ++found;
        CHECK(std::all_of(line->measures.begin(), line->measures.end(), [](float value) {
          return std::isfinite(value);
        }));
      }
    }
    CHECK(found > 0);
  }
}
