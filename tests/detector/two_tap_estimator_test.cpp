#include "detector/forecast/two_tap_estimator.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

#include "support/sounds.h"
#include "support/two_taps.h"

using namespace brink;
using detector::TwoTapEstimate;
using detector::TwoTapEstimator;

namespace {

constexpr double kRateHz = 8000.0;
constexpr float kConsole = 0.8F;
constexpr std::size_t kStretch = 16000;

const std::vector<tests::SoundPath> kPaths{{60, 0.5F}, {157, -0.3F}, {900, 0.15F}};

TwoTapEstimate estimate(const tests::TwoTaps& taps) {
  TwoTapEstimator estimator(kRateHz, kStretch);
  estimator.begin(taps.microphone, taps.feed);
  while (!estimator.work()) {
  }
  return estimator.estimate();
}

/// What the closed path is: the paths, and each as often as the loop brings it round again.
std::vector<double> closed_path(std::size_t lags) {
  std::vector<double> truth(lags);
  for (std::size_t n = 0; n < lags; ++n) {
    for (const tests::SoundPath& path : kPaths) {
      const double before = n == path.lag ? 1.0 : 0.0;
      truth[n] += n < path.lag ? 0.0
                               : static_cast<double>(path.gain) *
                                     (before + static_cast<double>(kConsole) * truth[n - path.lag]);
    }
  }
  return truth;
}

double largest_error(const TwoTapEstimate& found) {
  const auto truth = closed_path(found.closed_path.size());
  double largest = 0.0;
  for (std::size_t n = 0; n < truth.size(); ++n) {
    largest = std::max(largest, std::abs(found.closed_path[n] - truth[n]));
  }
  return largest;
}

}  // namespace

TEST_CASE("two taps find console and closed path while somebody talks and other noise is played") {
  auto talk = tests::white_noise(16.0, kRateHz, -30.0, 3);
  for (std::size_t n = 2; n < talk.size(); ++n) {
    talk[n] += 1.5F * talk[n - 1] - 0.7F * talk[n - 2];  // a voice's colour
  }
  for (std::size_t n = 0; n < talk.size(); ++n) {
    talk[n] *= n / 4000 % 3 == 2 ? 0.003F : 1.0F;  // it pauses in a third of the time
  }
  const auto other = tests::white_noise(16.0, kRateHz, -30.0, 4);
  const TwoTapEstimate found = estimate(tests::run_two_taps(talk, other, kPaths, kConsole));
  REQUIRE(found.closed_path.size() == 4800);
  // In a pause the noise is 40 dB over the talk: the error of each lag is about 1 % of what noise
  // in its place would leave.
  CHECK(largest_error(found) < 0.01);
  CHECK(std::abs(found.console[0] - static_cast<double>(kConsole)) < 0.01);
  CHECK(std::all_of(found.console.begin() + 1, found.console.end(), [](double tap) {
    return std::abs(tap) < 0.02;
  }));
  CHECK(found.coherence > 0.9);
  CHECK(found.condition > 1.0);
  CHECK(std::abs(found.halves[0][60] - 0.5) < 0.03);
  CHECK(std::abs(found.halves[1][60] - 0.5) < 0.03);
}

TEST_CASE("notes that are held at the microphone are not taken for a loop") {
  std::vector<float> notes(static_cast<std::size_t>(16.0 * kRateHz));
  for (std::size_t n = 0; n < notes.size(); ++n) {
    const double time_s = static_cast<double>(n) / kRateHz;
    for (const double frequency_hz : {220.0, 330.0, 440.0, 554.0}) {
      notes[n] +=
          static_cast<float>(0.01 * std::sin(2.0 * std::numbers::pi * frequency_hz * time_s));
    }
  }
  const auto other = tests::white_noise(16.0, kRateHz, -30.0, 6);
  const TwoTapEstimate found = estimate(tests::run_two_taps(notes, other, kPaths, kConsole));
  CHECK(largest_error(found) < 0.02);
}

TEST_CASE("a feed that holds nothing else says so") {
  const auto talk = tests::white_noise(8.0, kRateHz, -30.0, 7);
  const std::vector<float> nothing(talk.size());
  const TwoTapEstimate found = estimate(tests::run_two_taps(talk, nothing, kPaths, kConsole));
  CHECK(found.other_db < -40.0);
}

TEST_CASE("silence on both taps gives a path of zeros") {
  const std::vector<float> silence(64000);
  const TwoTapEstimate found = estimate({silence, silence});
  CHECK(std::all_of(
      found.closed_path.begin(), found.closed_path.end(), [](double tap) { return tap == 0.0; }));
  CHECK(found.coherence == 0.0);
  CHECK(std::isfinite(found.other_db));
}
