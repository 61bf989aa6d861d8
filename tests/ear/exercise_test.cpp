#include "ear/exercise.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "detector/detector.h"
#include "show/merge_rings.h"

using namespace brink;
using namespace brink::ear;
using namespace brink::show;

namespace {

std::array<double, kEarBandCount> even_shares() {
  std::array<double, kEarBandCount> shares{};
  shares.fill(1.0 / kEarBandCount);
  return shares;
}

double peak_dbfs(const std::vector<float>& samples) {
  float peak = 0.0F;
  for (const float sample : samples) {
    peak = std::max(peak, std::abs(sample));
  }
  return base::amplitude_to_db(static_cast<double>(peak));
}

std::vector<detector::Ring> detect(const Exercise& exercise) {
  RingList list(false);
  detector::DetectorConfig config;
  config.sample_rate_hz = exercise.sample_rate_hz;
  detector::Detector detector(config);
  detector.push(exercise.samples, list);
  detector.finish(list);
  return list.rings();
}

}  // namespace

TEST_CASE("every exercise has its word, and only those") {
  for (const ExerciseKind kind : kExerciseKinds) {
    CHECK(find_exercise(to_word(kind)) == kind);
  }
  CHECK(!find_exercise("pur").has_value());
  CHECK(kept_word(ExerciseKind::kVoice, false) == "voice");
  CHECK(kept_word(ExerciseKind::kVoice, true) == "voice-notes");
}

TEST_CASE("levels get harder in everything, and end within what hearing can tell") {
  for (int level = 1; level <= kHighestLevel; ++level) {
    const Difficulty easier = difficulty_at(level - 1);
    const Difficulty harder = difficulty_at(level);
    CHECK(harder.tolerance_cents < easier.tolerance_cents);
    CHECK(harder.ring_s < easier.ring_s);
    CHECK(harder.over_programme_db < easier.over_programme_db);
    CHECK(harder.growth_db_per_s > easier.growth_db_per_s);
    CHECK(harder.boost_db < easier.boost_db);
  }
  CHECK(difficulty_at(3).tolerance_cents == doctest::Approx(600.0));
  CHECK(difficulty_at(kHighestLevel).tolerance_cents > 10.0);  // the step of hearing
  CHECK(difficulty_at(99).ring_s == difficulty_at(kHighestLevel).ring_s);
}

TEST_CASE("plans draw what they are asked for, the same for the same seed") {
  std::array<double, kEarBandCount> shares{};
  shares[12] = 1.0;  // 2 kHz alone
  for (std::uint64_t seed = 1; seed < 50; ++seed) {
    const ExercisePlan plan = plan_exercise(ExerciseKind::kPure, false, 0, seed, shares);
    CHECK(base::third_octave_index(plan.wanted_hz.at(0)) == 3);
    CHECK(plan.wanted_hz == plan_exercise(ExerciseKind::kPure, false, 0, seed, shares).wanted_hz);
    const double note = base::hz_to_semitone(
        plan_exercise(ExerciseKind::kPure, true, 0, seed, shares).wanted_hz[0]);
    CHECK(note == doctest::Approx(std::round(note)));
    for (const int level : {0, kHighestLevel}) {
      const auto two = plan_exercise(ExerciseKind::kTwo, false, level, seed, even_shares());
      REQUIRE(two.wanted_hz.size() == 2);
      CHECK(base::cents_between(two.wanted_hz[1], two.wanted_hz[0]) >=
            (level == 0 ? 1200.0 : 600.0));
    }
  }
}

// The detector is the other witness: it hears the samples, the truth comes from the transfer
// function.
TEST_CASE("a ring rings where the truth says, near to where it was asked for") {
  for (const int band : {-9, -4, 0, 4, 9}) {
    const ExercisePlan plan{
        ExerciseKind::kPure, false, 4, 77, {base::third_octave_centre_hz(band)}};
    const Exercise exercise = render_exercise(plan);
    REQUIRE(exercise.truths.size() == 1);
    const EarTruth& truth = exercise.truths.front();
    INFO("asked for " << plan.wanted_hz[0] << " Hz, true " << truth.frequency_hz);
    CHECK(std::abs(base::cents_between(truth.frequency_hz, plan.wanted_hz[0])) < 20.0);
    CHECK(truth.excess_db.value_or(0.0) > 0.0);
    const auto rings = detect(exercise);
    REQUIRE(rings.size() == 1);  // one ring, no other
    // At its limit the loop rings at its whole-turn frequency, growing at its pole: some cents
    // apart where the phase turns slowly, as it does at a few hundred Hz.
    CHECK(std::abs(base::cents_between(rings[0].frequency_hz, truth.frequency_hz)) < 10.0);
  }
}

TEST_CASE("rings under programme and two at once are heard where the truth says") {
  for (const ExerciseKind kind : {ExerciseKind::kVoice, ExerciseKind::kMusic, ExerciseKind::kTwo}) {
    const ExercisePlan plan = plan_exercise(kind, false, 0, 5, even_shares());
    const Exercise exercise = render_exercise(plan);
    const auto rings = detect(exercise);
    REQUIRE(exercise.truths.size() == plan.wanted_hz.size());
    for (const EarTruth& truth : exercise.truths) {
      INFO(to_word(kind) << " " << truth.frequency_hz);
      CHECK(std::any_of(rings.begin(), rings.end(), [&](const detector::Ring& ring) {
        return std::abs(base::cents_between(ring.frequency_hz, truth.frequency_hz)) < 10.0;
      }));
    }
  }
}

TEST_CASE("a growing ring is quiet at first and loud when its time is over") {
  const Exercise exercise =
      render_exercise(plan_exercise(ExerciseKind::kGrowing, false, 0, 8, even_shares()));
  REQUIRE(exercise.loud_s.has_value());
  CHECK(*exercise.loud_s > 3.0);  // 10 dB/s from below -70 dBFS to -24
  const std::vector<float> first(exercise.samples.begin(), exercise.samples.begin() + 48000);
  CHECK(peak_dbfs(first) < -45.0);
  CHECK(peak_dbfs(exercise.samples) >= kExerciseLimitDbfs - 6.0);
}

TEST_CASE("a boosted band of noise has the power of its boost there and nowhere else") {
  const ExercisePlan plan{ExerciseKind::kNoise, false, 0, 3, {1000.0}};
  const Exercise exercise = render_exercise(plan);
  CHECK(exercise.truths.at(0).frequency_hz == 1000.0);
  CHECK(!exercise.truths[0].excess_db.has_value());
  const auto power_db = [&](double hz, std::size_t from_sample, std::size_t count) {
    // Many neighbours together, as one bin of noise says little.
    double power = 0.0;
    for (int k = -20; k <= 20; ++k) {
      const double step = 2.0 * 3.141592653589793 * (hz + k) / 48000.0;
      double re = 0.0;
      double im = 0.0;
      for (std::size_t n = 0; n < count; ++n) {
        const auto sample = static_cast<double>(exercise.samples[from_sample + n]);
        re += sample * std::cos(step * static_cast<double>(n));
        im += sample * std::sin(step * static_cast<double>(n));
      }
      power += re * re + im * im;
    }
    return 10.0 * std::log10(power);
  };
  constexpr std::size_t kSecond = 48000;
  // 41 bins: a deviation of 10/ln(10)/sqrt(41) = 0.7 dB each, 1 dB of the difference; four of
  // those.
  const double boost_db = power_db(1000.0, 3 * kSecond, kSecond) - power_db(1000.0, 0, kSecond);
  CHECK(std::abs(boost_db - difficulty_at(0).boost_db) < 4.0);
  const double beside_db = power_db(8000.0, 3 * kSecond, kSecond) - power_db(8000.0, 0, kSecond);
  CHECK(std::abs(beside_db) < 4.0);
}

TEST_CASE("the same plan gives the same samples, within full scale") {
  for (const ExerciseKind kind : kExerciseKinds) {
    const ExercisePlan plan = plan_exercise(kind, false, 9, 1234, even_shares());
    const Exercise once = render_exercise(plan);
    const Exercise again = render_exercise(plan);
    CHECK(once.samples == again.samples);
    CHECK(once.truths.at(0).frequency_hz == again.truths.at(0).frequency_hz);
    CHECK(peak_dbfs(once.samples) < 0.0);
  }
}

TEST_CASE("a plan that cannot be rendered says why") {
  CHECK_THROWS_AS(static_cast<void>(render_exercise({ExerciseKind::kPure, false, 0, 1, {}})),
                  base::Error);
  CHECK_THROWS_AS(static_cast<void>(render_exercise({ExerciseKind::kPure, false, 0, 1, {20.0}})),
                  base::Error);
  CHECK_THROWS_AS(static_cast<void>(render_exercise({ExerciseKind::kTwo, false, 0, 1, {1000.0}})),
                  base::Error);
}
