#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "cuts/score/loss_score.h"
#include "cuts/score/score.h"
#include "cuts/slot.h"

namespace brink::cuts {

struct SearchConfig {
  std::int64_t work = 2'000'000;  ///< how long to search, in units of Score::work()
  double hot_db = 0.12;           ///< temperature of the first step, in dB of net gain
  double cold_db = 0.002;         ///< temperature of the last step
  /// What a filter in use must win beyond its loss. A plan with fewer moves is easier to make and
  /// to undo.
  double use_price_db = 0.04;
  int most_in_use = 8;
  double gain_weight = 1.0;        ///< what 1 dB of stable gain is worth, in dB of level lost
  double audible_price_db = 0.0;   ///< what a cut that is heard must buy more, times its audibility
  bool is_audible_barred = false;  ///< no cut may be heard
  std::uint64_t seed = 1;
};

/// Looks for the choices with the most net gain: stable gain won minus mean level lost.
///
/// Method: simulated annealing (S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, "Optimization by
/// simulated annealing", Science 220, 671-680, 1983). It takes random steps along the slots' lists
/// and jumps to the highest crossing. A worse choice is kept with a probability that falls with the
/// temperature. The soft level sharpens in four stages.
///
/// The same seed gives the same result on every run. `score` and `loss` must start with all slots
/// off; their state afterwards is undefined. The result nets at least as much as all slots off.
[[nodiscard]] std::vector<Choice> search(std::span<const Slot> slots,
                                         Score& score,
                                         LossScore& loss,
                                         double sample_rate_hz,
                                         const SearchConfig& config);

}  // namespace brink::cuts
