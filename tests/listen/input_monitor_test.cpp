#include "listen/input_monitor.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

using namespace brink;

namespace {

constexpr double kRateHz = 48000.0;

std::vector<float> sine(double level_dbfs, double length_s) {
  std::vector<float> samples(static_cast<std::size_t>(length_s * kRateHz));
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const double turns = 1000.0 * static_cast<double>(i) / kRateHz;
    samples[i] = static_cast<float>(std::pow(10.0, level_dbfs / 20.0) *
                                    std::sin(2.0 * std::numbers::pi * turns));
  }
  return samples;
}

}  // namespace

TEST_CASE("a sine reads its peak, and 3 dB less as RMS") {
  listen::InputMonitor monitor(kRateHz);
  monitor.push(sine(-12.0, 2.0));
  const listen::InputLevel level = monitor.level();
  // 48 samples to a turn: a peak is met within 0.02 dB.
  CHECK(level.peak_dbfs == doctest::Approx(-12.0).epsilon(0.002));
  CHECK(level.rms_dbfs == doctest::Approx(-15.01).epsilon(0.002));
  CHECK_FALSE(level.is_clipping);
  CHECK_FALSE(level.is_too_quiet);
  CHECK_FALSE(level.is_silent);
}

TEST_CASE("the level falls within 0.3 s, clipping is shown for a second") {
  listen::InputMonitor monitor(kRateHz);
  monitor.push(sine(0.0, 0.1));
  CHECK(monitor.level().is_clipping);
  monitor.push(sine(-40.0, 0.4));
  CHECK(monitor.level().peak_dbfs == doctest::Approx(-40.0).epsilon(0.002));
  CHECK(monitor.level().is_clipping);
  monitor.push(sine(-40.0, 0.8));
  CHECK_FALSE(monitor.level().is_clipping);
}

TEST_CASE("the largest 16-bit sample counts as clipped") {
  listen::InputMonitor monitor(kRateHz);
  monitor.push(std::vector<float>{32767.0F / 32768.0F});
  CHECK(monitor.level().is_clipping);
  listen::InputMonitor lower(kRateHz);
  lower.push(std::vector<float>{32760.0F / 32768.0F});
  CHECK_FALSE(lower.level().is_clipping);
}

TEST_CASE("too quiet is said after five seconds, silence after half a second") {
  listen::InputMonitor monitor(kRateHz);
  monitor.push(sine(-60.0, 4.9));
  CHECK_FALSE(monitor.level().is_too_quiet);
  monitor.push(sine(-60.0, 0.2));
  CHECK(monitor.level().is_too_quiet);
  CHECK_FALSE(monitor.is_silent());
  monitor.push(std::vector<float>(static_cast<std::size_t>(0.49 * kRateHz)));
  CHECK_FALSE(monitor.is_silent());
  monitor.push(std::vector<float>(static_cast<std::size_t>(0.02 * kRateHz)));
  CHECK(monitor.is_silent());
  monitor.push(std::vector<float>{1e-6F});
  CHECK_FALSE(monitor.is_silent());
}

TEST_CASE("what is no number counts as nothing") {
  listen::InputMonitor monitor(kRateHz);
  monitor.push(std::vector<float>(1000, std::numeric_limits<float>::quiet_NaN()));
  monitor.push(std::vector<float>(1000, std::numeric_limits<float>::infinity()));
  CHECK(monitor.level().peak_dbfs == -200.0);
  CHECK(std::isfinite(monitor.level().rms_dbfs));
}
