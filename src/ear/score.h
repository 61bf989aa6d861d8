#pragma once

#include <cstdint>
#include <optional>

#include "cuts/cut.h"
#include "cuts/target.h"

namespace brink::ear {

/// What a guess is scored against.
struct EarTruth {
  double frequency_hz = 0.0;  ///< > 0
  /// Loop gain above the brink; nothing where no loop rang, as in a boosted band of noise.
  std::optional<double> excess_db;
};

struct GuessScore {
  double error_cents = 0.0;  ///< positive: guessed too high
  /// Size of the error, and never below hearing_step_cents(): no score is finer than hearing.
  double heard_error_cents = 0.0;
  double error_bands = 0.0;  ///< in third-octaves, base ten; positive: too high
  bool is_hit = false;       ///< within a third-octave of the truth
  int octave_slip = 0;       ///< octaves off by which the guess is right otherwise; 0: no slip
  cuts::Cut cut;             ///< what would have been set at the guess, on the target
  cuts::Target::Kind cut_on = cuts::Target::Kind::kParametric;  ///< the kind of that target
  double left_db = 0.0;            ///< level of that cut at the true frequency, negative
  std::optional<bool> stops_ring;  ///< whether that would have stopped it; nothing without a ring
};

/// Distance in third-octaves of base ten, 10 log10(f / reference): 1 from a centre of
/// IEC 61260-1 to the next. Both > 0.
[[nodiscard]] double bands_between(double frequency_hz, double reference_hz) noexcept;

/// Within a third-octave: at most one band's width away, either side.
[[nodiscard]] bool is_within_third_octave(double guessed_hz, double true_hz) noexcept;

/// Farther than that is no slip but a wild guess.
inline constexpr int kMostOctaveSlip = 2;

/// One or two octaves off, and right otherwise: within half a third-octave of it. Positive: guessed
/// too high. A wild guess within that range looks like a slip about one time in three (400 of 1200
/// cents).
[[nodiscard]] int octave_slip(double guessed_hz, double true_hz) noexcept;

[[nodiscard]] double heard_error_cents(double guessed_hz, double true_hz) noexcept;

/// The cut that a guess stands for: a third-octave wide or what the target has nearest to it (an
/// ear names a third-octave at best), centred where the target can be set nearest to the guess, at
/// least `depth_db` (negative) deep in the target's steps, as far as it goes.
[[nodiscard]] cuts::Cut guessed_cut(const cuts::Target& target, double guessed_hz, double depth_db);

/// The target's centre, Q and depth are decided as guessed_cut() says, with a depth of the excess
/// and 2 dB more (cuts::ProposeConfig), or 6 dB where there is none. The ring stops when what the
/// cut takes at the true frequency is more than the excess.
[[nodiscard]] GuessScore score_guess(const EarTruth& truth,
                                     double guessed_hz,
                                     const cuts::Target& target);

}  // namespace brink::ear
