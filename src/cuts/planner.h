#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "cuts/loop_gain.h"
#include "cuts/propose.h"
#include "cuts/setting.h"
#include "cuts/target.h"

namespace brink::cuts {

struct PlanConfig {
  double sample_rate_hz = 48000.0;  ///< of the equaliser
  int most_moves = 8;               ///< cuts and high-pass together
  /// How long to search, as Score::work() counts it; what is given here is spent from each of two
  /// starts and takes about 0.2 s.
  std::int64_t work = 3'300'000;
  /// With rings alone: what a move must buy beyond its loss. The model is coarse, so a plan with
  /// fewer moves is taken for better even if it costs a little more.
  double move_price_db = 0.1;
  std::uint64_t seed = 1;
};

/// One move of a plan and what it is worth beside the others.
struct Move {
  bool is_high_pass = false;  ///< then cut.centre_hz is its corner, q and depth_db are 0
  Cut cut;
  double buys_db = 0.0;        ///< stable gain lost when this move alone is taken back
  double costs_db = 0.0;       ///< level given back then, mean over third-octaves 125 Hz to 8 kHz
  std::vector<int> for_rings;  ///< indices of the rings that it serves
};

/// What to do, and what is to be had from it.
struct Plan {
  std::vector<Move> moves;           ///< rising in frequency; none when nothing is worth its loss
  double won_db = 0.0;               ///< stable gain
  double lost_db = 0.0;              ///< mean level over the third-octaves 125 Hz to 8 kHz
  std::vector<int> unserved_rings;   ///< planning from rings: those out of the target's reach
  std::vector<Crossing> next_rings;  ///< with a loop: what would ring next, highest first, re brink

  [[nodiscard]] double net_db() const noexcept { return won_db - lost_db; }

  [[nodiscard]] Setting setting() const;
};

/// The moves of the target that net the most on a loop: stable gain won, by the highest crossing of
/// the loop with the equaliser in it, minus mean level lost. Never worse than leaving all flat, and
/// never more than target or config allow. The same input gives the same plan.
[[nodiscard]] Plan plan_for_loop(const LoopGain& loop,
                                 const Target& target,
                                 const PlanConfig& config = {});

/// The setting that moves amount to.
[[nodiscard]] Setting to_setting(std::span<const Move> moves);

/// The moves that come nearest to wanted cuts for the least loss, when all that is known is where
/// the loop is too high: each wanted cut says where, how deep, and by its edges (where half its
/// depth is still wanted) how far around. The rest of the loop is taken to lie where the deepest of
/// these brings its own place: below, nothing more is won. What is won in this model is an
/// estimate.
[[nodiscard]] Plan plan_for_cuts(std::span<const Cut> wanted,
                                 const Target& target,
                                 const PlanConfig& config = {});

/// plan_for_cuts() with what propose_cut() wants for each ring.
[[nodiscard]] Plan plan_for_rings(std::span<const RingMeasurement> rings,
                                  const Target& target,
                                  const PlanConfig& config = {},
                                  const ProposeConfig& propose = {});

}  // namespace brink::cuts
