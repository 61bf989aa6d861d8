#include "listen/feed_watch.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <span>
#include <vector>

#include "listen/feed_watches.h"
#include "support/sounds.h"
#include "support/two_taps.h"

using namespace brink;
using listen::FeedWatch;
using listen::FeedWatches;
using listen::Forecast;
using listen::ForecastState;

namespace {

constexpr double kRateHz = 8000.0;
constexpr float kConsole = 0.8F;

const std::vector<tests::SoundPath> kPaths{{60, 0.25F}, {157, -0.18F}, {900, 0.07F}};

std::complex<double> loop_gain(double frequency_hz) {
  std::complex<double> gain;
  for (const tests::SoundPath& path : kPaths) {
    gain += std::polar(
        static_cast<double>(path.gain * kConsole),
        -2.0 * std::numbers::pi * frequency_hz * static_cast<double>(path.lag) / kRateHz);
  }
  return gain;
}

/// Somebody talks with pauses while noise is played, `other_db` over full scale.
tests::TwoTaps talk(double length_s, double other_db) {
  auto own = tests::white_noise(length_s, kRateHz, -30.0, 3);
  for (std::size_t n = 0; n < own.size(); ++n) {
    own[n] *= n / 4000 % 3 == 2 ? 0.003F : 1.0F;
  }
  return tests::run_two_taps(
      own, tests::white_noise(length_s, kRateHz, other_db, 4), kPaths, kConsole);
}

Forecast foretell(const tests::TwoTaps& taps, std::size_t block) {
  FeedWatch watch(kRateHz, 7);
  const std::span<const float> microphone(taps.microphone);
  const std::span<const float> feed(taps.feed);
  for (std::size_t at = 0; at < microphone.size(); at += block) {
    const std::size_t count = std::min(block, microphone.size() - at);
    watch.push(microphone.subspan(at, count), feed.subspan(at, count));
  }
  watch.finish();
  return watch.forecast();
}

}  // namespace

TEST_CASE("from two taps a forecast is told while noise is played and somebody talks") {
  const tests::TwoTaps taps = talk(19.0, -30.0);
  const Forecast forecast = foretell(taps, 1000);
  REQUIRE(forecast.state == ForecastState::kTold);
  REQUIRE(forecast.feed);
  CHECK(forecast.feed->tap == 7);
  CHECK(forecast.feed->coherence > 0.5);
  CHECK(forecast.feed->condition_db > 0.0);
  CHECK(forecast.feed->covered > 0.9);
  REQUIRE(!forecast.places.empty());
  for (const listen::ForeseenPlace& place : forecast.places) {
    const std::complex<double> gain = loop_gain(place.frequency_hz);
    // What is aimed at; in the pauses the noise is 40 dB over the talk.
    CHECK(std::abs(place.left_db + 20.0 * std::log10(std::abs(gain))) < 0.5);
    CHECK(std::abs(std::arg(gain)) < 0.3);
  }
  double highest = 0.0;
  for (double frequency_hz = 60.0; frequency_hz < 3200.0; frequency_hz += 0.1) {
    const std::complex<double> gain = loop_gain(frequency_hz);
    highest = std::abs(std::arg(gain)) < 0.01 ? std::max(highest, std::abs(gain)) : highest;
  }
  CHECK(std::abs(forecast.places.front().left_db + 20.0 * std::log10(highest)) < 0.5);

  const Forecast cut = foretell(taps, 777);
  REQUIRE(cut.places.size() == forecast.places.size());
  CHECK(cut.places.front().left_db == forecast.places.front().left_db);
}

TEST_CASE("a feed that holds nothing but the microphone leaves the forecast to one tap") {
  tests::TwoTaps taps = talk(19.0, -200.0);
  FeedWatch watch(kRateHz, 2);
  watch.push(taps.microphone, taps.feed);
  watch.finish();
  CHECK(watch.forecast().state == ForecastState::kUnclear);
  CHECK(watch.forecast().places.empty());
  CHECK(!watch.has_other());
}

TEST_CASE("a forecast from two taps waits for enough sound, and forgets at a gap") {
  const tests::TwoTaps taps = talk(17.0, -30.0);
  FeedWatch watch(kRateHz, 2);
  CHECK(watch.forecast().serial == 0);
  watch.push(taps.microphone, taps.feed);
  watch.finish();
  CHECK(watch.forecast().state == ForecastState::kWaiting);
  REQUIRE(watch.forecast().feed);
  const std::int64_t serial = watch.forecast().serial;
  watch.reset();
  CHECK(!watch.forecast().feed);
  CHECK(watch.forecast().serial > serial);
}

TEST_CASE("when the fader is moved, a forecast from two taps begins anew") {
  const tests::TwoTaps before = talk(31.0, -30.0);
  auto own = tests::white_noise(31.0, kRateHz, -30.0, 8);
  for (std::size_t n = 0; n < own.size(); ++n) {
    own[n] *= n / 4000 % 3 == 2 ? 0.003F : 1.0F;
  }
  const tests::TwoTaps after =
      tests::run_two_taps(own, tests::white_noise(31.0, kRateHz, -30.0, 9), kPaths, 1.6F);
  FeedWatch watch(kRateHz, 2);
  watch.push(before.microphone, before.feed);
  watch.finish();
  const double left_db = watch.forecast().places.front().left_db;
  const std::span<const float> microphone(after.microphone);
  const std::span<const float> feed(after.feed);
  constexpr auto kSome = static_cast<std::size_t>(13.0 * kRateHz);
  watch.push(microphone.first(kSome), feed.first(kSome));
  watch.finish();
  CHECK(watch.forecast().state == ForecastState::kWaiting);
  watch.push(microphone.subspan(kSome), feed.subspan(kSome));
  watch.finish();
  CAPTURE(watch.forecast().feed->covered);
  REQUIRE(watch.forecast().state == ForecastState::kTold);
  CHECK(watch.forecast().heard_s < 31.0);
  // The fader went up by 6 dB.
  CHECK(std::abs(left_db - watch.forecast().places.front().left_db - 6.02) < 0.5);
}

TEST_CASE("two taps of silence, or of what is no number, tell nothing") {
  tests::TwoTaps taps{std::vector<float>(152000), std::vector<float>(152000)};
  CHECK(foretell(taps, 4096).places.empty());
  std::fill(taps.microphone.begin(), taps.microphone.end(), std::nanf(""));
  std::fill(taps.feed.begin(), taps.feed.end(), std::nanf(""));
  CHECK(foretell(taps, 4096).places.empty());
}

TEST_CASE("only a microphone beside a single output is foretold from two taps") {
  const tests::TwoTaps taps = talk(19.0, -30.0);
  const std::array<std::span<const float>, 2> block{taps.microphone, taps.feed};
  constexpr std::array<int, 2> kTaps{3, 17};
  constexpr std::array<int, 1> kOutput{17};
  FeedWatches one(kRateHz, kTaps, kOutput, 2);
  one.push(block);
  one.finish();
  CHECK(one.forecast(0, {}).state == ForecastState::kTold);
  CHECK(one.forecast(0, {}).feed->tap == 17);
  CHECK(!one.forecast(1, {}).feed);
  FeedWatches two(kRateHz, kTaps, kTaps, 2);
  two.push(block);
  two.finish();
  CHECK(!two.forecast(0, {}).feed);
  FeedWatches none(kRateHz, kTaps, {}, 2);
  none.push(block);
  none.finish();
  CHECK(!none.forecast(0, {}).feed);
}
