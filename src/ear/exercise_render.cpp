#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "base/biquad.h"
#include "base/error.h"
#include "base/units.h"
#include "cuts/filters.h"
#include "cuts/grid.h"
#include "ear/exercise.h"
#include "ear/ring_scene.h"

namespace brink::ear {
namespace {

constexpr double kQuietFloorDbfs = -66.0;  // a ring grows from here when nothing else sounds
constexpr double kRiseDbPerS = 90.0;       // for exercises that are not about growth
constexpr double kSilenceFirstS = 0.3;
constexpr double kProgrammeFirstS = 1.0;
// About how long the rise takes; the ring's time counts from its end.
constexpr double kRiseS = 1.0;
constexpr double kLoudBelowLimitDb = 6.0;  // from here on a growing ring is loud
constexpr double kMostGrowingS = 12.0;

struct Played {
  std::vector<float> samples;
  EarTruth truth;
};

/// The truth is the pole of the frequency that the loop's transfer function makes unstable. It is
/// not the frequency that was asked for.
Played play(const RingSceneOptions& options) {
  const RingScene ring = make_ring_scene(options);
  loop::Render render = loop::render(ring.scene);
  Played played{std::move(render.samples), {ring.ring_hz, ring.excess_db}};
  const auto& near = render.truth.near_brink;
  const auto leader = std::max_element(near.begin(), near.end(), [](const auto& a, const auto& b) {
    return a.highest.gain_db < b.highest.gain_db;
  });
  if (leader != near.end() && leader->pole && leader->unstable_s != loop::kNeverS) {
    played.truth = {leader->pole->frequency_hz, leader->highest.gain_db};
  }
  return played;
}

loop::ProgrammeConfig programme_for(const ExercisePlan& plan) {
  loop::ProgrammeConfig programme;
  programme.seed = plan.seed;
  programme.kind = loop::ProgrammeKind::kSilence;
  programme.noise_floor_dbfs = kQuietFloorDbfs;
  const bool is_under_programme =
      plan.kind == ExerciseKind::kVoice || plan.kind == ExerciseKind::kMusic;
  if (is_under_programme) {
    programme.kind = plan.kind == ExerciseKind::kVoice ? loop::ProgrammeKind::kVoice
                                                       : loop::ProgrammeKind::kMusic;
    programme.level_dbfs = kExerciseLimitDbfs - difficulty_at(plan.level).over_programme_db;
  }
  return programme;
}

RingSceneOptions scene_for(const ExercisePlan& plan, double wanted_hz) {
  const Difficulty difficulty = difficulty_at(plan.level);
  RingSceneOptions options;
  options.wanted_hz = wanted_hz;
  options.limit_dbfs = kExerciseLimitDbfs;
  options.programme = programme_for(plan);
  options.seed = plan.seed;
  const bool has_programme = options.programme.kind != loop::ProgrammeKind::kSilence;
  options.start_s = has_programme ? kProgrammeFirstS : kSilenceFirstS;
  options.growth_db_per_s = kRiseDbPerS;
  options.length_s = options.start_s + kRiseS + difficulty.ring_s;
  if (plan.kind == ExerciseKind::kGrowing) {
    options.growth_db_per_s = difficulty.growth_db_per_s;
    options.length_s = kMostGrowingS;
  }
  return options;
}

/// When the sound first comes within kLoudBelowLimitDb of the limit. The sound's length when it
/// never does.
double loud_from_s(std::span<const float> samples) {
  const auto loud_lin =
      static_cast<float>(base::db_to_amplitude(kExerciseLimitDbfs - kLoudBelowLimitDb));
  const auto loud = std::find_if(
      samples.begin(), samples.end(), [&](float sample) { return std::abs(sample) >= loud_lin; });
  return static_cast<double>(loud - samples.begin()) / kExerciseRateHz;
}

void end_after(double time_s, std::vector<float>& samples) {
  const auto length = static_cast<std::size_t>(time_s * kExerciseRateHz);
  samples.resize(std::min(samples.size(), length));
}

Exercise render_noise(const ExercisePlan& plan) {
  const Difficulty difficulty = difficulty_at(plan.level);
  loop::ProgrammeConfig config;
  config.kind = loop::ProgrammeKind::kPinkNoise;
  config.sample_rate_hz = kExerciseRateHz;
  config.level_dbfs = kExerciseLimitDbfs - 12.0;
  config.seed = plan.seed;
  loop::Programme noise{config};
  constexpr double kFlatS = 2.0;
  Exercise exercise;
  exercise.samples.resize(static_cast<std::size_t>((kFlatS + difficulty.ring_s) * kExerciseRateHz));
  noise.fill(exercise.samples);
  base::BiquadRunner boost;
  boost.set_section(cuts::design_peaking(
      plan.wanted_hz.front(), cuts::graphic_band_q(1), difficulty.boost_db, kExerciseRateHz));
  const auto boosted =
      std::span(exercise.samples).subspan(static_cast<std::size_t>(kFlatS * kExerciseRateHz));
  for (float& sample : boosted) {
    sample = static_cast<float>(boost.step(static_cast<double>(sample)));
  }
  exercise.truths.push_back({plan.wanted_hz.front(), std::nullopt});
  return exercise;
}

Exercise render_rings(const ExercisePlan& plan) {
  Exercise exercise;
  std::uint64_t seed = plan.seed;
  for (const double wanted_hz : plan.wanted_hz) {
    RingSceneOptions options = scene_for(plan, wanted_hz);
    options.seed = seed;
    options.programme.seed = seed++;
    Played played = play(options);
    exercise.truths.push_back(played.truth);
    if (exercise.samples.empty()) {
      exercise.samples = std::move(played.samples);
      continue;
    }
    // Two wedges of one stage, each with its own microphone. The sound is their sum.
    std::transform(played.samples.begin(),
                   played.samples.end(),
                   exercise.samples.begin(),
                   exercise.samples.begin(),
                   [](float a, float b) { return a + b; });
  }
  if (plan.kind == ExerciseKind::kGrowing) {
    exercise.loud_s = loud_from_s(exercise.samples);
    end_after(*exercise.loud_s + 0.5, exercise.samples);
  }
  return exercise;
}

}  // namespace

Exercise render_exercise(const ExercisePlan& plan) {
  const std::size_t rings = plan.kind == ExerciseKind::kTwo ? 2 : 1;
  if (plan.wanted_hz.size() != rings) {
    throw base::Error(fmt::format("the exercise '{}' wants {} frequency{}; got {}.",
                                  to_word(plan.kind),
                                  rings,
                                  rings == 1 ? "" : " values",
                                  plan.wanted_hz.size()));
  }
  Exercise exercise = plan.kind == ExerciseKind::kNoise ? render_noise(plan) : render_rings(plan);
  exercise.plan = plan;
  exercise.sample_rate_hz = kExerciseRateHz;
  return exercise;
}

}  // namespace brink::ear
