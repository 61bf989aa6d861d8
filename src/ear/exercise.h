#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ear/band_choice.h"
#include "ear/score.h"

namespace brink::ear {

enum class ExerciseKind : std::uint8_t {
  kPure,     ///< one ring, nothing else
  kVoice,    ///< one ring under something like a voice
  kMusic,    ///< one ring under something like a band
  kGrowing,  ///< one slow ring, to be named before it is loud
  kTwo,      ///< two rings at once
  kNoise,    ///< pink noise, flat at first, then with one band boosted
};

inline constexpr std::array<ExerciseKind, 6> kExerciseKinds{ExerciseKind::kPure,
                                                            ExerciseKind::kVoice,
                                                            ExerciseKind::kMusic,
                                                            ExerciseKind::kGrowing,
                                                            ExerciseKind::kTwo,
                                                            ExerciseKind::kNoise};

/// "pure", "voice", "music", "growing", "two", "noise".
[[nodiscard]] const char* to_word(ExerciseKind kind) noexcept;
/// The kind with this word; nothing when there is none.
[[nodiscard]] std::optional<ExerciseKind> find_exercise(std::string_view word) noexcept;

/// The word that is kept with a guess: the kind's word, with "-notes" when piano pitches are asked
/// for.
[[nodiscard]] std::string kept_word(ExerciseKind kind, bool by_note);

/// The meaning of a level of difficulty. Levels and figures are our own. The rule that changes the
/// level is a published one (staircase.h).
struct Difficulty {
  /// Right is what lies within this, or within hearing_step_cents().
  double tolerance_cents = 1200.0;
  double ring_s = 4.0;              ///< how long the ring stays
  double over_programme_db = 18.0;  ///< ring above the programme's long-term level
  double growth_db_per_s = 10.0;    ///< of a growing ring
  double boost_db = 15.0;           ///< of a boosted band of noise
};

inline constexpr int kHighestLevel = 15;

/// The tolerance halves every three levels: 1200 cents at level 0, 600 at 3, 37.5 at 15.
[[nodiscard]] Difficulty difficulty_at(int level) noexcept;

/// What to render. The same plan gives the same samples.
struct ExercisePlan {
  ExerciseKind kind = ExerciseKind::kPure;
  bool by_note = false;  ///< frequencies are piano pitches
  int level = 0;         ///< 0 to kHighestLevel
  std::uint64_t seed = 1;
  std::vector<double> wanted_hz;  ///< one frequency; for kTwo two, rising
};

/// Draws the frequencies of an exercise. `shares` gives the bands' shares. Within its band a
/// frequency is uniform in log frequency, or then moved to the nearest semitone. Two frequencies
/// are at least an octave apart at level 0, and half an octave at the highest level.
[[nodiscard]] ExercisePlan plan_exercise(ExerciseKind kind,
                                         bool by_note,
                                         int level,
                                         std::uint64_t seed,
                                         const std::array<double, kEarBandCount>& shares);

/// An exercise, ready to be heard.
struct Exercise {
  ExercisePlan plan;
  double sample_rate_hz = 0.0;
  std::vector<float> samples;    ///< mono, within +-1
  std::vector<EarTruth> truths;  ///< taken from the loop itself, in the order of wanted_hz
  std::optional<double> loud_s;  ///< for kGrowing: the latest time to name it
};

inline constexpr double kExerciseRateHz = 48000.0;
/// Peak level at which the limiter of the exercises' stage holds a ring.
inline constexpr double kExerciseLimitDbfs = -18.0;

/// Renders on the simulated stage; takes some tenths of a second. Throws base::Error unless the
/// plan has a frequency between 100 Hz and 10 kHz for each ring.
[[nodiscard]] Exercise render_exercise(const ExercisePlan& plan);

}  // namespace brink::ear
