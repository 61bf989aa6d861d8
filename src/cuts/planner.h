#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "cuts/audibility.h"
#include "cuts/loop_gain.h"
#include "cuts/propose.h"
#include "cuts/setting.h"
#include "cuts/target.h"

namespace brink::cuts {

struct PlanConfig {
  double sample_rate_hz = 48000.0;  ///< sample rate of the equaliser
  int most_moves = 8;               ///< cuts and high-pass together
  /// How long to search, in units of Score::work(). Each of two starts spends this much, about 0.2
  /// s.
  std::int64_t work = 3'300'000;
  /// Only for planning from rings: what a move must win beyond its loss. The model is coarse, so a
  /// plan with fewer moves counts as better even if it costs a little more.
  double move_price_db = 0.1;
  std::uint64_t seed = 1;
  Sound sound = Sound::kBalanced;  ///< what the cuts may do to music
};

/// One move of a plan, and what it adds to the others.
struct Move {
  bool is_high_pass = false;  ///< if true, cut.centre_hz is the corner, and q and depth_db are 0
  Cut cut;
  double buys_db = 0.0;        ///< stable gain lost when only this move is taken back
  double costs_db = 0.0;       ///< level won back then; mean over the third-octaves 125 Hz to 8 kHz
  std::vector<int> for_rings;  ///< indices of the rings that this move serves
};

/// The moves to make, and what they win.
struct Plan {
  std::vector<Move> moves;          ///< rising in frequency; empty when nothing is worth its loss
  double won_db = 0.0;              ///< stable gain won
  double lost_db = 0.0;             ///< mean level lost over the third-octaves 125 Hz to 8 kHz
  std::vector<int> unserved_rings;  ///< planning from rings: rings that the target cannot reach
  /// Planning from a loop: what would ring next, highest first, re brink.
  std::vector<Crossing> next_rings;

  [[nodiscard]] double net_db() const noexcept { return won_db - lost_db; }

  [[nodiscard]] Setting setting() const;
};

/// The target's moves that net the most on a loop: stable gain won minus mean level lost, less what
/// `config.sound` asks for cuts that are heard. The
/// loop's highest crossing with the equaliser in it gives the stable gain. The plan is never worse
/// than a flat equaliser. It never needs more than the target or the config allows. The same input
/// gives the same plan.
[[nodiscard]] Plan plan_for_loop(const LoopGain& loop,
                                 const Target& target,
                                 const PlanConfig& config = {});

/// The equaliser setting that the moves make.
[[nodiscard]] Setting to_setting(std::span<const Move> moves);

/// The moves that come nearest to wanted cuts for the least loss. Use it when all that is known is
/// where the loop is too high. Each wanted cut says where, how deep, and how far around: at its
/// edges half its depth is still wanted. The deepest wanted cut brings its own place down to some
/// level. The rest of the loop is taken to lie at that level, so nothing more is won below it. What
/// the plan wins in this model is an estimate.
[[nodiscard]] Plan plan_for_cuts(std::span<const Cut> wanted,
                                 const Target& target,
                                 const PlanConfig& config = {});

/// plan_for_cuts() with the cut that propose_cut() gives for each ring.
[[nodiscard]] Plan plan_for_rings(std::span<const RingMeasurement> rings,
                                  const Target& target,
                                  const PlanConfig& config = {},
                                  const ProposeConfig& propose = {});

}  // namespace brink::cuts
