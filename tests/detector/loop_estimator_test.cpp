#include "detector/forecast/loop_estimator.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>
#include <span>
#include <vector>

#include "detector/forecast/whitener.h"
#include "support/sounds.h"

using namespace brink;
using detector::LoopEstimator;
using detector::Whitener;

namespace {

constexpr double kRateHz = 16000.0;

struct Path {
  std::size_t lag;
  float gain;
};

/// Noise in a loop of a few paths.
std::vector<float> in_loop(std::vector<float> noise, const std::vector<Path>& loop) {
  for (std::size_t n = 0; n < noise.size(); ++n) {
    for (const Path& path : loop) {
      if (n >= path.lag) {
        noise[n] += path.gain * noise[n - path.lag];
      }
    }
  }
  return noise;
}

/// What a talker's mouth does, roughly: poles that make low frequencies loud.
std::vector<float> coloured(std::vector<float> noise) {
  for (std::size_t n = 2; n < noise.size(); ++n) {
    noise[n] += 1.5F * noise[n - 1] - 0.7F * noise[n - 2];
  }
  return noise;
}

std::vector<double> estimate(std::span<const float> sound, std::size_t block = 333) {
  LoopEstimator estimator(kRateHz);
  while (!sound.empty()) {
    const auto part = sound.first(std::min(block, sound.size()));
    estimator.push(part);
    sound = sound.subspan(part.size());
  }
  return estimator.estimate(estimator.finish_stretch().correlation);
}

const std::vector<Path> kLoop{{100, 0.4F}, {257, -0.3F}, {1200, 0.15F}};

void check_loop(const std::vector<double>& taps) {
  REQUIRE(taps.size() == 9600);
  // Each tap has a standard deviation of 1 / sqrt(samples), here 0.002. The whitening changes from
  // one moment to the next, which costs a strong path some of its gain: 0.06 of 0.4 in this sound.
  for (const Path& path : kLoop) {
    CHECK(std::abs(taps[path.lag] - static_cast<double>(path.gain)) < 0.08);
  }
  double rest = 0.0;
  for (std::size_t lag = 0; lag < taps.size(); ++lag) {
    const bool is_path = lag == 100 || lag == 257 || lag == 1200;
    rest = std::max(rest, is_path ? 0.0 : std::abs(taps[lag]));
  }
  CHECK(rest < 0.03);
}

}  // namespace

TEST_CASE("the paths of a loop are found from the noise that runs through it") {
  check_loop(estimate(in_loop(tests::white_noise(16.0, kRateHz, -30.0, 3), kLoop)));
}

TEST_CASE("the colour of the programme is not taken for a loop") {
  check_loop(estimate(in_loop(coloured(tests::white_noise(16.0, kRateHz, -30.0, 4)), kLoop)));
}

TEST_CASE("a loop is found as well when the programme pauses and returns") {
  std::vector<float> noise = tests::white_noise(32.0, kRateHz, -30.0, 5);
  for (std::size_t n = 0; n < noise.size(); ++n) {
    noise[n] *= n / 8000 % 2 == 0 ? 1.0F : 0.01F;  // every other half second is 40 dB quieter
  }
  const std::vector<double> taps = estimate(in_loop(noise, kLoop));
  for (const Path& path : kLoop) {
    // The level is made even only slowly, so a tail after a pause counts too much: 0.08 in this
    // sound.
    CHECK(std::abs(taps[path.lag] - static_cast<double>(path.gain)) < 0.1);
  }
}

TEST_CASE("the estimate does not depend on how the samples are cut into blocks") {
  const auto sound = in_loop(tests::white_noise(2.0, kRateHz, -30.0, 6), kLoop);
  const auto whole = estimate(sound, sound.size());
  CHECK(estimate(sound, 1) == whole);
  CHECK(estimate(sound, 1024) == whole);
}

TEST_CASE("silence has no loop, and what is not a number counts as silence") {
  CHECK(estimate(std::vector<float>(16000)).empty());
  std::vector<float> broken = in_loop(tests::white_noise(4.0, kRateHz, -30.0, 7), kLoop);
  std::vector<float> mended = broken;
  for (std::size_t n = 0; n < broken.size(); n += 5000) {
    broken[n] = n % 2 == 0 ? std::numeric_limits<float>::quiet_NaN()
                           : std::numeric_limits<float>::infinity();
    mended[n] = 0.0F;
  }
  CHECK(estimate(broken) == estimate(mended));
}

TEST_CASE("stretches of sound can be estimated alone and together") {
  LoopEstimator estimator(kRateHz);
  const auto sound = in_loop(tests::white_noise(4.0, kRateHz, -30.0, 8), kLoop);
  const std::span<const float> all(sound);
  estimator.push(all.first(all.size() / 2));
  auto first = estimator.finish_stretch().correlation;
  estimator.push(all.subspan(all.size() / 2));
  const auto second = estimator.finish_stretch().correlation;
  std::transform(first.begin(), first.end(), second.begin(), first.begin(), std::plus<>());
  const auto together = estimator.estimate(first);
  const auto whole = estimate(sound);
  for (std::size_t lag = 0; lag < whole.size(); ++lag) {
    CHECK(std::abs(together[lag] - whole[lag]) < 0.02);  // pairs across the seam are missing
  }
}

TEST_CASE("what was whitened has one level at all frequencies and soon after a pause") {
  Whitener whitener(kRateHz);
  const auto sound = coloured(tests::white_noise(4.0, kRateHz, -30.0, 9));
  std::vector<double> white;
  const std::span<const float> all(sound);
  for (std::size_t at = 0; at + whitener.hop_samples() <= all.size();
       at += whitener.hop_samples()) {
    const auto hop = whitener.process(all.subspan(at, whitener.hop_samples()));
    white.insert(white.end(), hop.begin(), hop.end());
  }
  const double power = std::inner_product(white.begin(), white.end(), white.begin(), 0.0);
  for (std::size_t lag = 1; lag < 40; ++lag) {
    const double alike = std::inner_product(
        white.begin() + static_cast<std::ptrdiff_t>(lag), white.end(), white.begin(), 0.0);
    // 0.97 at lag 1 before. By chance 1 / sqrt(samples) = 0.004; a prediction over 30 ms of noise
    // takes out a little more than is there.
    CHECK(std::abs(alike / power) < 0.05);
  }
}
