#include "taps/tap_rings.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <random>

#include "support/noise.h"
#include "taps/sends.h"

using namespace brink;
using detector::RingState;
using taps::TapInfo;
using taps::TapRingEvent;
using taps::TapRings;
using taps::TapRole;

namespace {

constexpr double kRateHz = 48000.0;
constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr double kNepersPerS = 4.0;  // how tone() grows
constexpr double kDbPerNeper = 20.0 / std::numbers::ln10;

std::vector<TapInfo> microphones(int count) {
  std::vector<TapInfo> taps;
  for (int channel = 1; channel <= count; ++channel) {
    taps.push_back({channel, TapRole::kMicrophone});
  }
  return taps;
}

detector::RingEvent event(std::int64_t sample, std::uint32_t id, RingState state, double hz) {
  detector::RingEvent made;
  made.sample = sample;
  made.ring.id = id;
  made.ring.state = state;
  made.ring.frequency_hz = hz;
  made.ring.frequency_sd_hz = 0.2;
  made.ring.onset_sample = 100;
  made.ring.level_dbfs = -30.0;
  made.ring.growth_db_per_s = kNepersPerS * kDbPerNeper;
  if (state != RingState::kBuilding) {
    made.ring.flagged_sample = sample;
    made.ring.place = id;
  }
  return made;
}

/// A growing tone with an amplitude and a phase for each tap.
std::vector<std::vector<float>> tone(const std::vector<std::complex<double>>& levels,
                                     double hz,
                                     std::size_t length) {
  std::vector<std::vector<float>> taps(levels.size(), std::vector<float>(length));
  for (std::size_t t = 0; t < levels.size(); ++t) {
    for (std::size_t n = 0; n < length; ++n) {
      const double time_s = static_cast<double>(n) / kRateHz;
      const std::complex<double> at =
          levels[t] * std::polar(std::exp(kNepersPerS * time_s), kTurn * hz * time_s);
      taps[t][n] = static_cast<float>(at.real());
    }
  }
  return taps;
}

void hear(TapRings& rings, const std::vector<std::vector<float>>& sound) {
  for (std::size_t at = 0; at < sound.front().size(); at += 4096) {
    std::vector<std::span<const float>> block;
    for (const std::vector<float>& samples : sound) {
      block.push_back(
          std::span(samples).subspan(at, std::min<std::size_t>(4096, samples.size() - at)));
    }
    rings.hear(block);
  }
}

std::vector<RingState> states(const std::vector<TapRingEvent>& events) {
  std::vector<RingState> states;
  for (const TapRingEvent& one : events) {
    states.push_back(one.ring.state);
  }
  return states;
}

}  // namespace

TEST_CASE("one tap: every event passes as it is") {
  TapRings rings{kRateHz, {{7, TapRole::kMicrophone}}};
  rings.take(0, event(1000, 5, RingState::kRinging, 440.0));
  const auto told = rings.settle();
  REQUIRE(told.size() == 1);
  CHECK(told[0].channel == 7);
  CHECK(told[0].ring.id == 5);
  CHECK(told[0].ring.place == 5);
  CHECK(told[0].shares.count == 0);
  CHECK(rings.id_of(0, 5) == 5);
}

TEST_CASE("a ring on three taps is told once, by the first that is certain") {
  TapRings rings{kRateHz, microphones(3)};
  rings.take(0, event(1000, 1, RingState::kBuilding, 1000.3));
  rings.take(2, event(1500, 1, RingState::kBuilding, 1000.1));
  rings.take(2, event(2000, 1, RingState::kRinging, 1000.1));
  rings.take(0, event(3000, 1, RingState::kRinging, 1000.2));
  rings.take(1, event(3500, 4, RingState::kRinging, 999.9));
  rings.take(0, event(9000, 1, RingState::kFading, 1000.2));
  rings.take(1, event(9000, 4, RingState::kFading, 999.9));
  rings.take(2, event(9500, 1, RingState::kFading, 1000.1));
  rings.take(2, event(9900, 1, RingState::kGone, 1000.1));
  rings.take(0, event(9950, 1, RingState::kGone, 1000.1));
  rings.take(1, event(9990, 4, RingState::kGone, 1000.1));
  const auto told = rings.settle();
  CHECK(
      states(told) ==
      std::vector{RingState::kBuilding, RingState::kRinging, RingState::kFading, RingState::kGone});
  CHECK(told[1].sample == 2000);
  CHECK(told[1].heard_channel == 3);
  CHECK(told[2].sample == 9500);
  CHECK(told[3].sample == 9990);
  for (const TapRingEvent& one : told) {
    CHECK(one.ring.id == 1);
  }
}

TEST_CASE("two rings some hertz apart on two taps are two") {
  TapRings rings{kRateHz, microphones(2)};
  rings.take(0, event(1000, 1, RingState::kRinging, 1000.0));
  rings.take(1, event(1100, 1, RingState::kRinging, 1004.0));
  const auto told = rings.settle();
  REQUIRE(told.size() == 2);
  CHECK(told[0].ring.id != told[1].ring.id);
  CHECK(told[0].ring.place != told[1].ring.place);
  CHECK(rings.id_of(0, 1) == told[0].ring.id);
  CHECK(rings.id_of(1, 1) == told[1].ring.id);
}

TEST_CASE("a ring withdrawn by one tap stays while another holds it") {
  TapRings rings{kRateHz, microphones(2)};
  rings.take(0, event(1000, 1, RingState::kRinging, 1000.0));
  rings.take(1, event(1100, 1, RingState::kRinging, 1000.0));
  auto withdrawn = event(2000, 1, RingState::kWithdrawn, 1000.0);
  rings.take(0, withdrawn);
  CHECK(states(rings.settle()) == std::vector{RingState::kRinging});
  withdrawn.sample = 3000;
  rings.take(1, withdrawn);
  CHECK(states(rings.settle()) == std::vector{RingState::kWithdrawn});
}

TEST_CASE("what a limiter makes of rings on another tap is no ring") {
  // Two rings at their limiter on tap 1, and 20 dB weaker lines on tap 2 alone.
  struct Case {
    double hz;
    bool is_ring;
  };

  for (const auto& [hz, is_ring] : {Case{3000.0, false}, Case{3100.0, false}, Case{3040.0, true}}) {
    CAPTURE(hz);
    auto sound = tone({0.01, 0.0}, 1000.0, 48000);
    const auto second = tone({0.008, 0.0}, 1100.0, 48000);
    for (std::size_t n = 0; n < sound[0].size(); ++n) {
      sound[0][n] += second[0][n];
    }
    sound[1] = tone({0.001}, hz, 48000)[0];
    TapRings rings{kRateHz, microphones(2)};
    hear(rings, sound);
    rings.take(0, event(46000, 1, RingState::kRinging, 1000.0));
    rings.take(0, event(46100, 2, RingState::kRinging, 1100.0));
    rings.take(1, event(46500, 1, RingState::kBuilding, hz));
    rings.take(1, event(47000, 1, RingState::kRinging, hz));
    rings.take(1, event(47500, 1, RingState::kGone, hz));
    std::vector<RingState> expected{
        RingState::kRinging, RingState::kRinging, RingState::kBuilding, RingState::kGone};
    if (is_ring) {
      expected.insert(expected.begin() + 3, RingState::kRinging);
    }
    CHECK(states(rings.settle()) == expected);
  }
}

TEST_CASE("a ring at a multiple of another tap's ring is told once it is too loud for a product") {
  std::vector<std::vector<float>> sound(2, std::vector<float>(48000));
  sound[1] = tone({0.01}, 3000.0, 48000)[0];
  for (std::size_t n = 24000; n < sound[0].size(); ++n) {
    sound[0][n] =
        static_cast<float>(0.5 * std::sin(kTurn * 1000.0 / kRateHz * static_cast<double>(n)));
  }
  TapRings rings{kRateHz, microphones(2)};
  hear(rings, sound);
  rings.take(1, event(9700, 1, RingState::kBuilding, 3000.0));
  rings.take(0, event(25000, 1, RingState::kRinging, 1000.0));
  rings.take(1, event(33000, 1, RingState::kRinging, 3000.0));
  const auto told = rings.settle();
  CHECK(states(told) ==
        std::vector{RingState::kBuilding, RingState::kRinging, RingState::kRinging});
  // It is 12 dB below after 0.63 s, and a look is the mean of 0.16 s.
  CHECK(told.back().sample > 33000);  // never before it was held back
  CHECK(told.back().sample < 42000);
}

TEST_CASE("a place keeps its number, whichever tap hears it again") {
  TapRings rings{kRateHz, microphones(2)};
  rings.take(0, event(1000, 1, RingState::kRinging, 700.0));
  rings.take(0, event(2000, 1, RingState::kGone, 700.0));
  rings.take(1, event(5000, 9, RingState::kRinging, 700.3));
  const auto told = rings.settle();
  REQUIRE(told.size() == 3);
  CHECK(told[2].ring.id == 2);
  CHECK(told[2].ring.place == told[0].ring.place);
}

TEST_CASE("into one output the shares are the parts of the mix, with their phases") {
  const std::vector<std::complex<double>> levels{
      {0.001, 0.0}, std::polar(0.004, 0.5), std::polar(0.002, -2.8)};
  TapRings rings{kRateHz, microphones(3)};
  hear(rings, tone(levels, 1234.5, 24000));
  rings.take(0, event(20000, 1, RingState::kRinging, 1234.5));
  const auto told = rings.settle();
  REQUIRE(told.size() == 1);
  const std::complex<double> mix = levels[0] + levels[1] + levels[2];
  CHECK(told[0].channel == 2);
  CHECK(told[0].heard_channel == 1);
  REQUIRE(told[0].shares.count == 3);
  for (const taps::TapPart& part : told[0].shares.all()) {
    const double expected = (levels[static_cast<std::size_t>(part.channel) - 1] / mix).real();
    // The window's leakage from the tone's other side.
    CHECK(static_cast<double>(part.share) == doctest::Approx(expected).epsilon(0.001));
  }
}

TEST_CASE("a loud channel that is not sent to the output has no share") {
  // Channel 1 hears the ring loudest and goes nowhere; channel 2 makes it. Both carry noise.
  std::vector<std::vector<float>> sound = tone({{0.004, 0.0}, {0.001, 0.0}, {}}, 900.0, 60000);
  std::uint32_t state = 1;
  for (std::size_t n = 0; n < sound[0].size(); ++n) {
    for (std::size_t t = 0; t < 2; ++t) {
      state = state * 1664525U + 1013904223U;
      sound[t][n] +=
          static_cast<float>(static_cast<double>(state >> 8U) / (1U << 24U) - 0.5) * 0.002F;
    }
    sound[2][n] = 0.5F * sound[1][n];
  }
  std::vector<TapInfo> infos = microphones(3);
  infos[2] = {9, TapRole::kOutput};
  TapRings rings{kRateHz, infos};
  hear(rings, sound);
  rings.take(0, event(59000, 1, RingState::kRinging, 900.0));
  const auto told = rings.settle();
  REQUIRE(told.size() == 1);
  CHECK(told[0].channel == 2);
  CHECK(told[0].shares.knows_sends);
  CHECK(told[0].shares.output == 9);
  REQUIRE(told[0].shares.count == 2);
  CHECK(static_cast<double>(told[0].shares.parts[0].share) == doctest::Approx(1.0).epsilon(0.01));
  // A tone that no loop made tells nothing without the output's tap, and the loud one is named.
  TapRings blind{kRateHz, microphones(2)};
  sound.pop_back();
  hear(blind, sound);
  blind.take(0, event(59000, 1, RingState::kRinging, 900.0));
  CHECK(blind.settle().front().channel == 1);
}

TEST_CASE("without outputs: who drives the ring is named, not who hears it three times as loud") {
  // Channel 2 is a loop of 10 ms by itself; channel 1 hears its loudspeaker and is sent nowhere.
  constexpr std::size_t kLoop = 480;
  constexpr double kGain = 1.08;  // in the last half second, and 0.8 before
  constexpr std::size_t kRaised = 168000;
  std::vector<std::vector<float>> sound(2, std::vector<float>(4 * 48000));
  std::uint32_t state = 3;
  const auto noise = [&] {
    state = state * 1664525U + 1013904223U;
    return static_cast<float>((static_cast<double>(state >> 8U) / (1U << 24U) - 0.5) * 0.001);
  };
  for (std::size_t n = 0; n < sound[0].size(); ++n) {
    sound[0][n] = noise();
    sound[1][n] = noise();
    if (n >= kLoop + 50) {
      sound[0][n] += 3.0F * sound[1][n - kLoop - 50];
      sound[1][n] += (n < kRaised ? 0.8F : static_cast<float>(kGain)) * sound[1][n - kLoop];
    }
  }
  TapRings rings{kRateHz, microphones(2)};
  hear(rings, sound);
  detector::RingEvent flag = event(190000, 1, RingState::kRinging, 900.0);
  flag.ring.growth_db_per_s = kDbPerNeper * std::log(kGain) * kRateHz / kLoop;
  rings.take(0, flag);
  const auto told = rings.settle();
  REQUIRE(told.size() == 1);
  REQUIRE(told[0].shares.count == 2);
  CHECK(told[0].shares.parts[1].level_dbfs > told[0].shares.parts[0].level_dbfs + 8.0F);
  CHECK(told[0].channel == 2);
  // All of it is in channel 2, and by the sum alone it has 0.24. From a half on one does something
  // there.
  CHECK(static_cast<double>(told[0].shares.parts[0].share) > 0.5);
}

TEST_CASE("without outputs: the shares of eight microphones at one output are told from noise") {
  // Twelve loops of 10 ms; the sends, paths and noises of the microphones are by chance. Without
  // the projection onto outputs the error is 0.47.
  constexpr std::size_t kLoop = 480;
  constexpr std::size_t kTaps = 8;
  constexpr std::size_t kLength = 190000;
  constexpr std::size_t kRaised = 168000;
  double error = 0.0;
  double error_alike = 0.0;
  constexpr unsigned kLoops = 12;
  for (unsigned seed = 1; seed <= kLoops; ++seed) {
    std::mt19937 random(seed);
    const auto chance = [&] { return static_cast<double>(random()) / 4294967296.0; };
    std::array<double, kTaps> sent{};
    std::array<double, kTaps> heard{};
    std::vector<std::vector<float>> sound;
    for (std::size_t tap = 0; tap < kTaps; ++tap) {
      sent[tap] = chance() < 0.3 ? 0.0 : chance();
      heard[tap] = std::pow(10.0, chance() - 0.5);
      sound.push_back(tests::flat_noise(
          kLength, 0.0005 * std::pow(10.0, chance()), 100 * seed + static_cast<unsigned>(tap)));
    }
    const double around = std::inner_product(sent.begin(), sent.end(), heard.begin(), 0.0);
    const double all = std::accumulate(heard.begin(), heard.end(), 0.0);
    std::vector<double> output(kLength);
    for (std::size_t n = 0; n < kLength; ++n) {
      const double gain = (n < kRaised ? 0.8 : 1.08) / around;
      for (std::size_t tap = 0; tap < kTaps; ++tap) {
        sound[tap][n] += n < kLoop ? 0.0F : static_cast<float>(heard[tap] * output[n - kLoop]);
        output[n] += gain * sent[tap] * static_cast<double>(sound[tap][n]);
      }
    }
    TapRings rings{kRateHz, microphones(static_cast<int>(kTaps))};
    hear(rings, sound);
    detector::RingEvent flag = event(kLength, 1, RingState::kRinging, 900.0);
    flag.ring.growth_db_per_s = kDbPerNeper * std::log(1.08) * kRateHz / kLoop;
    rings.take(0, flag);
    const auto told = rings.settle();
    REQUIRE(told.size() == 1);
    for (const taps::TapPart& part : told[0].shares.all()) {
      const auto tap = static_cast<std::size_t>(part.channel - 1);
      const double share = sent[tap] * heard[tap] / around;
      error += std::abs(static_cast<double>(part.share) - share) / kLoops;
      error_alike += std::abs(heard[tap] / all - share) / kLoops;
    }
  }
  MESSAGE("errors of the shares of a loop: " << error << ", by the sum " << error_alike);
  CHECK(error < 0.44);
}

TEST_CASE("a channel that carries another's sound is found, two microphones are not") {
  std::vector<std::vector<float>> sound(3, std::vector<float>(3 * 48000));
  std::uint32_t state = 7;
  for (std::size_t n = 0; n < sound[0].size(); ++n) {
    for (std::size_t t = 0; t < 2; ++t) {
      state = state * 1664525U + 1013904223U;
      sound[t][n] = static_cast<float>(state >> 8U) / (1U << 24U) - 0.5F;
    }
    sound[1][n] = sound[0][n] + 0.01F * sound[1][n];  // nearly the same, as two in one place
    sound[2][n] = -0.25F * sound[0][n];
  }
  TapRings rings{kRateHz, microphones(3)};
  hear(rings, sound);
  CHECK(rings.copies().copy_of(0) == -1);
  CHECK(rings.copies().copy_of(1) == -1);
  CHECK(rings.copies().copy_of(2) == 0);
}

TEST_CASE("the events do not depend on the blocks") {
  const auto sound = tone({{0.001, 0.0}, {0.0, 0.003}}, 500.0, 48000);
  const auto run = [&](std::size_t length) {
    TapRings rings{kRateHz, microphones(2)};
    std::vector<TapRingEvent> all;
    for (std::size_t at = 0; at < 48000; at += length) {
      std::vector<std::span<const float>> block;
      for (const auto& samples : sound) {
        block.push_back(std::span(samples).subspan(at, std::min(length, 48000 - at)));
      }
      const auto takes = [&](std::size_t tap, const detector::RingEvent& one) {
        if (one.sample > static_cast<std::int64_t>(at) &&
            one.sample <= static_cast<std::int64_t>(at + block.front().size())) {
          rings.take(tap, one);
        }
      };
      takes(0, event(20000, 1, RingState::kRinging, 500.0));
      takes(1, event(21000, 1, RingState::kRinging, 500.1));
      takes(0, event(40000, 1, RingState::kFading, 500.0));
      takes(1, event(41000, 1, RingState::kFading, 500.1));
      rings.hear(block);
      for (const TapRingEvent& one : rings.settle()) {
        all.push_back(one);
      }
    }
    return all;
  };
  const auto whole = run(8192);
  const auto pieces = run(333);
  REQUIRE(whole.size() == 2);
  REQUIRE(pieces.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(whole[i].sample == pieces[i].sample);
    REQUIRE(whole[i].shares.count == pieces[i].shares.count);
    for (std::size_t k = 0; k < whole[i].shares.count; ++k) {
      CHECK(whole[i].shares.parts[k].share == pieces[i].shares.parts[k].share);
    }
  }
}
