#include "io/live/play_voice.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "base/units.h"

using namespace brink;
using io::PlayHeader;
using io::PlayVoice;

namespace {

constexpr double kRateHz = 48000.0;

/// What the device would play of a steady full-scale sound, so that the output is the envelope.
struct Device {
  std::vector<float> samples;
  PlayHeader header;
  PlayVoice voice;

  explicit Device(std::vector<float> sound, double device_rate_hz = kRateHz)
      : samples(std::move(sound)), voice(prepared(header), samples, device_rate_hz) {}

  static PlayHeader& prepared(PlayHeader& header) {
    header.sample_rate_hz = kRateHz;
    header.level_lin.store(0.1F);
    return header;
  }

  void play(std::uint64_t from = 0) {
    header.from_sample = from;
    header.is_wanted = true;
    header.plays.fetch_add(1);
  }

  std::vector<float> take(double length_s) {
    std::vector<float> block(2 * static_cast<std::size_t>(length_s * kRateHz));
    voice.fill(block.data(), block.size() / 2, 2);
    std::vector<float> left;
    for (std::size_t i = 0; i < block.size(); i += 2) {
      CHECK(block[i] == block[i + 1]);  // both channels alike
      left.push_back(block[i]);
    }
    return left;
  }
};

std::vector<float> steady(double length_s, float value = 1.0F) {
  return std::vector<float>(static_cast<std::size_t>(length_s * kRateHz), value);
}

/// The largest change from one sample to the next.
double steepest(const std::vector<float>& samples) {
  float most = 0.0F;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    most = std::max(most, std::abs(samples[i] - samples[i - 1]));
  }
  return static_cast<double>(most);
}

bool is_silent(const std::vector<float>& samples) {
  return std::all_of(samples.begin(), samples.end(), [](float sample) { return sample == 0.0F; });
}

}  // namespace

TEST_CASE("an output is silent until it is asked to play, and rises in a straight line") {
  Device device(steady(5.0));
  CHECK(is_silent(device.take(1.0)));
  device.play();
  const auto rise = device.take(0.6);
  CHECK(std::abs(rise.front()) < 1e-5F);
  // Half of the ramp is half of the level; a sample's rounding.
  CHECK(rise[static_cast<std::size_t>(0.15 * kRateHz)] == doctest::Approx(0.05).epsilon(0.001));
  CHECK(rise[static_cast<std::size_t>(0.31 * kRateHz)] == doctest::Approx(0.1));
  CHECK(steepest(rise) == doctest::Approx(0.1 / (io::kPlayRampUpS * kRateHz)).epsilon(0.05));
}

TEST_CASE("a stop is silent after its short ramp, without a step") {
  Device device(steady(5.0));
  device.play();
  (void)device.take(1.0);
  device.header.is_wanted = false;
  const auto fall = device.take(0.1);
  const auto ramp = static_cast<std::size_t>(io::kPlayRampDownS * kRateHz);
  CHECK(fall[ramp / 2] == doctest::Approx(0.05).epsilon(0.01));
  CHECK(is_silent({fall.begin() + static_cast<std::ptrdiff_t>(ramp) + 1, fall.end()}));
  CHECK(steepest(fall) < 1.05 * 0.1 / (io::kPlayRampDownS * kRateHz));
  CHECK(device.header.done_plays == device.header.plays);
}

TEST_CASE("a sound ends by itself, softly, and can be played again from anywhere") {
  Device device(steady(1.0));
  device.play();
  auto all = device.take(1.2);
  CHECK(steepest(all) < 1.05 * 0.1 / (io::kPlayRampDownS * kRateHz));
  CHECK(is_silent({all.begin() + 48000, all.end()}));
  CHECK(device.header.done_plays == 1);
  CHECK(device.header.position == 48000);
  device.play(24000);
  all = device.take(1.0);
  CHECK(!is_silent({all.begin() + 20000, all.begin() + 23000}));
  CHECK(is_silent({all.begin() + 24000, all.end()}));
  device.play(999999);  // beyond the end: nothing
  CHECK(is_silent(device.take(0.1)));
  CHECK(device.header.done_plays == 3);
}

TEST_CASE("a new beginning ramps down what sounds, and jumps in silence") {
  // Two heights, so that a jump without a ramp would show.
  auto sound = steady(4.0);
  std::fill(sound.begin() + 96000, sound.end(), -1.0F);
  Device device(sound);
  device.play();
  (void)device.take(1.0);
  device.play(120000);
  const auto jump = device.take(1.0);
  CHECK(steepest(jump) < 1.05 * 0.1 / (io::kPlayRampDownS * kRateHz));
  CHECK(jump.back() == doctest::Approx(-0.1));
  // A stop and a new beginning right after it are no different.
  device.header.is_wanted = false;
  (void)device.take(0.005);
  device.play(0);
  const auto again = device.take(1.0);
  CHECK(steepest(again) < 1.05 * 0.1 / (io::kPlayRampDownS * kRateHz));
  CHECK(again.back() == doctest::Approx(0.1));
}

TEST_CASE("nothing passes the ceiling, and what is no number is silence") {
  auto sound = steady(1.0, 1000.0F);
  sound[40000] = std::numeric_limits<float>::quiet_NaN();
  sound[40001] = std::numeric_limits<float>::infinity();
  Device device(sound);
  device.header.level_lin = 1.0F;
  device.play();
  const auto all = device.take(1.0);
  const double ceiling = base::db_to_amplitude(io::kPlayCeilingDbfs);
  for (const float sample : all) {
    CHECK(static_cast<double>(std::abs(sample)) <= ceiling * (1.0 + 1e-6));
  }
  CHECK(static_cast<double>(all[39000]) == doctest::Approx(ceiling));
  CHECK(all[40000] == 0.0F);
  CHECK(all[40001] == 0.0F);
}

TEST_CASE("a level rises over the ramp and falls at once") {
  Device device(steady(5.0, 0.2F));
  device.play();
  (void)device.take(1.0);
  device.header.level_lin = 1.0F;
  const auto rise = device.take(1.0);
  CHECK(steepest(rise) < 1.05 * 0.2 / (io::kPlayRampUpS * kRateHz));
  CHECK(rise.back() == doctest::Approx(0.2));
  device.header.level_lin = 0.1F;
  const auto fall = device.take(0.1);
  CHECK(steepest(fall) < 1.05 * 0.2 / (io::kPlayRampDownS * kRateHz));
  CHECK(fall.back() == doctest::Approx(0.02));
}

TEST_CASE("positions are of the sound's own rate when the device has another") {
  Device device(steady(2.0), 96000.0);  // the samples stand for a second of converted sound
  device.play(12000);
  (void)device.take(0.5);  // 24 000 of the device's samples, a quarter of a second
  CHECK(device.header.position == 24000);
}
