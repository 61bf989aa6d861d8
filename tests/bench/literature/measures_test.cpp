#include "bench/literature/measures.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "bench/literature/criterion.h"
#include "bench/signals.h"

using namespace brink::bench;

namespace {

/// Levels of a line, newest first, `per_hop_db` upwards in time.
std::array<double, 8> line(double per_hop_db) {
  std::array<double, 8> levels{};
  for (std::size_t j = 0; j < levels.size(); ++j) {
    levels[j] = 60.0 - per_hop_db * static_cast<double>(j);
  }
  return levels;
}

std::vector<float> growth(double per_look_db, std::size_t looks) {
  std::vector<float> values(looks);
  for (std::size_t n = 0; n < looks; ++n) {
    values[n] = static_cast<float>(std::pow(10.0, per_look_db * static_cast<double>(n) / 20.0));
  }
  return values;
}

}  // namespace

// Closed forms of the printed definitions, worked out by hand; 0.0005 is half the last digit given.
constexpr double kHalfDigit = 0.0005;

TEST_CASE("IMSD: any straight line reads 0, a parabola and a step their closed forms") {
  CHECK(std::abs(imsd_db(line(1.5))) < 1e-12);
  CHECK(std::abs(imsd_db(line(0.0))) < 1e-12);  // a held tone passes as well as a howl
  CHECK(std::abs(imsd_db(line(-4.0))) < 1e-12);
  std::array<double, 8> parabola{};
  for (std::size_t j = 0; j < parabola.size(); ++j) {
    parabola[j] = 60.0 - 0.1 * static_cast<double>(j * j);
  }
  CHECK(std::abs(imsd_db(parabola) - 0.525) < kHalfDigit);
  const std::array<double, 8> step{30, 30, 30, 0, 0, 0, 0, 0};  // the newest three are up
  CHECK(std::abs(imsd_db(step) + 3.523) < kHalfDigit);
}

TEST_CASE("NINOS2-T: constant, single, half, and growth on linear magnitude, Q = 32") {
  CHECK(std::abs(ninos2_t(std::vector<float>(32, 0.3F)) - 1.0) < 1e-9);
  std::vector<float> single(32);
  single[7] = 2.0F;
  CHECK(std::abs(ninos2_t(single)) < 1e-9);
  std::vector<float> half(32);
  std::fill(half.begin() + 16, half.end(), 1.0F);
  CHECK(std::abs(ninos2_t(half) - 0.7255) < 0.00005);
  const std::array<std::array<double, 2>, 4> expected{
      {{0.5, 0.738}, {1.0, 0.521}, {2.0, 0.326}, {3.0, 0.230}}};
  for (const auto& [per_look_db, value] : expected) {
    CHECK(std::abs(ninos2_t(growth(per_look_db, 32)) - value) < kHalfDigit);
  }
  CHECK(ninos2_t(std::vector<float>(32)) == 0.0);
}

TEST_CASE("FEP: what its thresholds mean for IMSD, and its ceiling without peakness") {
  CHECK(fep(0.559, 1.0) >= 0.7);
  CHECK(fep(0.561, 1.0) < 0.7);
  CHECK(fep(0.073, 1.0) >= 0.95);
  CHECK(fep(0.075, 1.0) < 0.95);
  CHECK(fep(0.0, 0.0) <= 0.7);
}

TEST_CASE("PAPR of a sine with a rectangular window is 10 log10(M / 2), its ceiling") {
  for (const int size : {2048, 4096}) {
    std::vector<float> power(static_cast<std::size_t>(size / 2 + 1));
    power[100] = 1.0F;
    // Parseval: a sine on a bin has all its power in that bin and its mirror image.
    const double ceiling = 10.0 * std::log10(size / 2.0);
    CHECK(std::abs(papr_db(power, 100, size) - ceiling) < 1e-9);
    power[101] = 0.01F;
    CHECK(papr_db(power, 100, size) < ceiling);
  }
}

TEST_CASE("PHPR compares with the bin at the multiple, and with nothing beyond the last") {
  std::vector<float> power(129, 1e-6F);
  power[40] = 1.0F;
  power[80] = 0.01F;
  CHECK(phpr_db(power, 40, 2.0) == doctest::Approx(20.0));
  CHECK(phpr_db(power, 40, 0.5) == doctest::Approx(60.0));
  CHECK(phpr_db(power, 40, 4.0) == 200.0);
}

TEST_CASE("peakness counts the sides that lie 15 dB below on average, 2 to 7 bins away") {
  std::vector<float> power(64, 1e-3F);
  power[30] = 1.0F;
  power[31] = 1.0F;  // the nearest neighbour is left out
  CHECK(sides_above_neighbours(power, 30) == 1.0);
  for (std::size_t k = 32; k < 40; ++k) {
    power[k] = 0.1F;
  }
  CHECK(sides_above_neighbours(power, 30) == 0.5);
}

TEST_CASE("every criterion finds a lone growing tone once, and nothing in white noise") {
  for (const char* name : {"phpr-ipmp", "fep", "ninos2-t"}) {
    CAPTURE(name);
    constexpr double kRateHz = 48000.0;
    Random random{3};
    std::vector<float> samples(384000);  // 8 s
    render(
        {.sample_rate_hz = kRateHz, .frequency_hz = 1500.0, .amplitude = 0.0, .noise_rms = 0.001},
        random,
        samples);
    CriterionRun quiet{make_criterion(name, {.sample_rate_hz = kRateHz, .threshold = {}}), kRateHz};
    quiet.push(samples);
    CHECK(quiet.rings().empty());

    // The tone rises out of the noise at 3 s and is held by a limit from 4.5 s on.
    CriterionRun run{make_criterion(name, {.sample_rate_hz = kRateHz, .threshold = {}}), kRateHz};
    for (std::size_t n = 0; n < samples.size(); ++n) {
      const double time_s = static_cast<double>(n) / kRateHz;
      const double level_dbfs = std::min(-80.0 + 40.0 * std::max(0.0, time_s - 3.0), -20.0);
      const double amplitude = std::pow(10.0, level_dbfs / 20.0);
      samples[n] +=
          static_cast<float>(amplitude * std::sin(2.0 * std::numbers::pi * 1500.0 * time_s));
    }
    run.push(samples);
    REQUIRE(run.rings().size() == 1);
    CHECK(std::abs(run.rings()[0].frequency_hz - 1500.0) < 8.0);  // within a bin of 4096 at 48 kHz
    CHECK(run.rings()[0].flagged_sample > 3 * 48000);
  }
}
