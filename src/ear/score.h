#pragma once

#include <cstdint>
#include <optional>

#include "cuts/cut.h"
#include "cuts/target.h"

namespace brink::ear {

/// The truth that a guess is scored against.
struct EarTruth {
  double frequency_hz = 0.0;  ///< > 0
  /// Loop gain above the brink. Nothing when no loop rang, as with a boosted band of noise.
  std::optional<double> excess_db;
};

struct GuessScore {
  double error_cents = 0.0;  ///< positive: guessed too high
  /// Size of the error, but at least hearing_step_cents(): no score is finer than hearing.
  double heard_error_cents = 0.0;
  double error_bands = 0.0;  ///< in base-ten third-octaves; positive: guessed too high
  bool is_hit = false;       ///< within a third-octave of the truth
  int octave_slip = 0;       ///< the guess is right except for this many octaves; 0: no such slip
  cuts::Cut cut;             ///< the cut that the guess would set on the target
  cuts::Target::Kind cut_on = cuts::Target::Kind::kParametric;  ///< the kind of that target
  double left_db = 0.0;  ///< level of that cut at the true frequency, negative
  /// Whether the cut would have stopped the ring; nothing without a ring.
  std::optional<bool> stops_ring;
};

/// Distance in base-ten third-octaves, 10 log10(f / reference): 1 between neighbouring centres of
/// IEC 61260-1. Both > 0.
[[nodiscard]] double bands_between(double frequency_hz, double reference_hz) noexcept;

/// Whether the guess is at most one third-octave away, on either side.
[[nodiscard]] bool is_within_third_octave(double guessed_hz, double true_hz) noexcept;

/// An error of more octaves than this is not a slip but a wild guess.
inline constexpr int kMostOctaveSlip = 2;

/// Whether the guess is one or two octaves away and otherwise right: within half a third-octave of
/// that octave. Positive: guessed too high. 0: no slip. A wild guess within this range looks like a
/// slip about one time in three (400 of 1200 cents).
[[nodiscard]] int octave_slip(double guessed_hz, double true_hz) noexcept;

[[nodiscard]] double heard_error_cents(double guessed_hz, double true_hz) noexcept;

/// The cut that a guess stands for. It is a third-octave wide, or as near to that as the target
/// allows, because an ear names a third-octave at best. Its centre is the target's nearest to the
/// guess. It is at least `depth_db` (negative) deep in the target's steps, if the target goes that
/// far.
[[nodiscard]] cuts::Cut guessed_cut(const cuts::Target& target, double guessed_hz, double depth_db);

/// Scores a guess. guessed_cut() gives the cut; its depth is the excess and 2 dB more
/// (cuts::ProposeConfig), or 6 dB when there is no excess. The cut stops the ring if it takes more
/// than the excess at the true frequency.
[[nodiscard]] GuessScore score_guess(const EarTruth& truth,
                                     double guessed_hz,
                                     const cuts::Target& target);

}  // namespace brink::ear
