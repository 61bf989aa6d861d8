#include "ear/exercise.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "loop/random.h"

namespace brink::ear {
namespace {

constexpr std::array<const char*, kExerciseKinds.size()> kWords{
    "pure", "voice", "music", "growing", "two", "noise"};

double draw_hz(const std::array<double, kEarBandCount>& shares,
               bool by_note,
               loop::Random& random) {
  const int band = choose_band(shares, random.uniform());
  const double frequency_hz =
      base::third_octave_centre_hz(0) * std::pow(10.0, (band + random.between(-0.5, 0.5)) / 10.0);
  return by_note ? base::semitone_to_hz(std::round(base::hz_to_semitone(frequency_hz)))
                 : frequency_hz;
}

double between_levels(int level, double easiest, double hardest) noexcept {
  return easiest + (hardest - easiest) * level / kHighestLevel;
}

}  // namespace

const char* to_word(ExerciseKind kind) noexcept {
  return kWords[static_cast<std::size_t>(kind)];
}

std::optional<ExerciseKind> find_exercise(std::string_view word) noexcept {
  const auto found = std::find_if(kExerciseKinds.begin(),
                                  kExerciseKinds.end(),
                                  [&](ExerciseKind kind) { return word == to_word(kind); });
  return found == kExerciseKinds.end() ? std::nullopt : std::optional(*found);
}

std::string kept_word(ExerciseKind kind, bool by_note) {
  return std::string(to_word(kind)) + (by_note ? "-notes" : "");
}

Difficulty difficulty_at(int level) noexcept {
  const int at = std::clamp(level, 0, kHighestLevel);
  Difficulty difficulty;
  difficulty.tolerance_cents = 1200.0 * std::exp2(-at / 3.0);
  difficulty.ring_s = between_levels(at, 4.0, 1.0);
  difficulty.over_programme_db = between_levels(at, 18.0, 6.0);
  difficulty.growth_db_per_s = between_levels(at, 10.0, 25.0);
  difficulty.boost_db = between_levels(at, 15.0, 4.5);
  return difficulty;
}

ExercisePlan plan_exercise(ExerciseKind kind,
                           bool by_note,
                           int level,
                           std::uint64_t seed,
                           const std::array<double, kEarBandCount>& shares) {
  ExercisePlan plan{kind, by_note, std::clamp(level, 0, kHighestLevel), seed, {}};
  loop::Random random{seed};
  plan.wanted_hz.push_back(draw_hz(shares, by_note, random));
  if (kind == ExerciseKind::kTwo) {
    const double least_cents = between_levels(plan.level, 1200.0, 600.0);
    double second_hz = 0.0;
    // At least half of the range is always far enough away, so this ends.
    do {
      second_hz = draw_hz(shares, by_note, random);
    } while (std::abs(base::cents_between(second_hz, plan.wanted_hz.front())) < least_cents);
    plan.wanted_hz.push_back(second_hz);
    std::sort(plan.wanted_hz.begin(), plan.wanted_hz.end());
  }
  return plan;
}

}  // namespace brink::ear
