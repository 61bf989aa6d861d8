#include "loop/matrix/matrix_stage.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>

#include "base/units.h"
#include "loop/matrix/matrix_scene.h"
#include "loop/matrix/matrix_truth.h"
#include "loop/stage.h"

using namespace brink::loop;

namespace {

using Channels = std::vector<std::vector<float>>;

Channels run(const MatrixConfig& config,
             MatrixTap tap,
             const Channels& programme,
             std::size_t block) {
  MatrixStage stage{config, tap};
  Channels taps(stage.tap_count(), std::vector<float>(programme.front().size()));
  for (std::size_t at = 0; at < programme.front().size(); at += block) {
    const std::size_t count = std::min(block, programme.front().size() - at);
    std::vector<std::span<const float>> in;
    std::vector<std::span<float>> out;
    for (const auto& samples : programme) {
      in.push_back(std::span(samples).subspan(at, count));
    }
    for (auto& samples : taps) {
      out.push_back(std::span(samples).subspan(at, count));
    }
    stage.process(in, out);
  }
  return taps;
}

MatrixSceneOptions small_band(std::uint64_t seed) {
  MatrixSceneOptions options;
  options.stage.room.t60_s = 0.25;
  options.stage.room.seed = seed;
  options.microphones = 3;
  options.outputs = 2;
  return options;
}

Channels clicks(std::size_t microphones, std::size_t length) {
  Channels programme(microphones, std::vector<float>(length));
  for (std::size_t i = 0; i < microphones; ++i) {
    programme[i][i * 7] = 1e-4F;
  }
  return programme;
}

/// Complex level of a tone, by a Hann window.
std::complex<double> tone(const std::vector<float>& samples,
                          std::size_t from,
                          std::size_t count,
                          double hz) {
  std::complex<double> sum;
  for (std::size_t n = 0; n < count; ++n) {
    const double window = 0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * static_cast<double>(n) /
                                               static_cast<double>(count));
    sum += window * static_cast<double>(samples[from + n]) *
           std::polar(1.0, -2.0 * std::numbers::pi * hz * static_cast<double>(from + n) / 48000.0);
  }
  return sum / static_cast<double>(count);
}

}  // namespace

TEST_CASE("a stage of one microphone and one output sounds as Stage does") {
  MatrixSceneOptions options = small_band(1);
  options.microphones = 1;
  options.outputs = 1;
  options.faders_db = {{0, 0.0}};
  options.stage.gain_db = ramp(-6.0, 3.0, 0.0, 1.0);
  const MatrixConfig config = build_matrix_scene(options).stage;
  StageConfig one;
  one.response = config.path[0][0];
  one.plan.gain_db = config.gain_db;
  Stage stage{one};
  const Channels programme = clicks(1, 96000);
  std::vector<float> expected(96000);
  stage.process(programme.front(), expected);
  CHECK(run(config, MatrixTap::kMicrophone, programme, 480).front() == expected);
}

TEST_CASE("the sound of several microphones does not depend on the blocks") {
  const MatrixConfig config = build_matrix_scene(small_band(2)).stage;
  const Channels programme = clicks(3, 30000);
  const Channels whole = run(config, MatrixTap::kChannel, programme, 30000);
  CHECK(run(config, MatrixTap::kChannel, programme, 1) == whole);
  CHECK(run(config, MatrixTap::kChannel, programme, 777) == whole);
  CHECK(run(config, MatrixTap::kOutput, programme, 777).size() == 2);
}

TEST_CASE("over the brink the stage grows at the pole that the matrix foretells") {
  MatrixSceneOptions options = small_band(4);
  options.stage.gain_db = Lines{1.0};
  const MatrixScene scene = build_matrix_scene(options);
  const MatrixTruth truth = matrix_truth(scene.stage, 4.0);
  REQUIRE(truth.stable_gain_db.has_value());
  CHECK(*truth.stable_gain_db == doctest::Approx(0.0).epsilon(1e-7));
  const MatrixNearBrink* fastest = nullptr;
  for (const MatrixNearBrink& one : truth.near_brink) {
    if (one.near.pole && (fastest == nullptr ||
                          one.near.pole->growth_db_per_s > fastest->near.pole->growth_db_per_s)) {
      fastest = &one;
    }
  }
  REQUIRE(fastest != nullptr);
  REQUIRE(fastest->near.pole->growth_db_per_s > 1.0);
  const Channels taps = run(scene.stage, MatrixTap::kChannel, clicks(3, 4 * 48000), 4096);
  const double hz = fastest->near.pole->frequency_hz;
  // One second apart, after the other poles have fallen behind and before the limiter.
  constexpr std::size_t kWindow = 19200;
  const auto early = std::abs(tone(taps[0], 96000, kWindow, hz));
  const auto late = std::abs(tone(taps[0], 144000, kWindow, hz));
  REQUIRE(late < 0.2);
  CHECK(brink::base::amplitude_to_db(late / early) ==
        doctest::Approx(fastest->near.pole->growth_db_per_s).epsilon(0.03));
}

TEST_CASE("the same band gives the same samples, and another seed another band") {
  MatrixSceneOptions options = small_band(5);
  options.stage.length_s = 0.3;
  const MatrixRender once = render(build_matrix_scene(options));
  CHECK(render(build_matrix_scene(options)).taps == once.taps);
  options.stage.room.seed = 6;
  CHECK(render(build_matrix_scene(options)).taps != once.taps);
}
