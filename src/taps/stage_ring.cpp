#include "taps/stage_ring.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace brink::taps {

using detector::Ring;
using detector::RingState;

bool is_same_tone(const Ring& a, const Ring& b) noexcept {
  // Three standard deviations of both together. A ring in programme can be off by more in its first
  // half second, and no stage has two so close: the rings of a loop of 50 ms are 20 Hz apart.
  constexpr double kLeastHz = 3.0;
  constexpr double kMostRatio = 0.005;  // beyond that it is another place
  const double sd_hz = std::hypot(a.frequency_sd_hz, b.frequency_sd_hz);
  const double reach_hz = std::max(kLeastHz, 3.0 * sd_hz);
  const double most_hz = std::max(kLeastHz, kMostRatio * std::min(a.frequency_hz, b.frequency_hz));
  return std::abs(a.frequency_hz - b.frequency_hz) <= std::min(reach_hz, most_hz);
}

RingState state_of(std::span<const TapRing> rings) noexcept {
  const auto any = [&](bool certain, RingState state) {
    return std::any_of(rings.begin(), rings.end(), [&](const TapRing& one) {
      return is_certain(one.ring) == certain && one.ring.state == state;
    });
  };
  const bool was_certain = std::any_of(
      rings.begin(), rings.end(), [](const TapRing& one) { return is_certain(one.ring); });
  for (const RingState state : {RingState::kRinging, RingState::kBuilding, RingState::kFading}) {
    if (any(was_certain, state)) {
      return state;
    }
  }
  return was_certain && !any(true, RingState::kGone) ? RingState::kWithdrawn : RingState::kGone;
}

TapRing ring_of_stage(std::span<const TapRing> rings,
                      RingState state,
                      std::int64_t sample) noexcept {
  // Best: in this state, certain, and loudest.
  const auto rank = [&](const TapRing& one) {
    return std::tuple(is_certain(one.ring), one.ring.state == state, one.ring.level_dbfs);
  };
  TapRing best = *std::max_element(
      rings.begin(), rings.end(), [&](const auto& a, const auto& b) { return rank(a) < rank(b); });
  const bool is_best_certain = is_certain(best.ring);
  for (const TapRing& other : rings) {
    if (is_certain(other.ring) || !is_best_certain) {
      best.ring.onset_sample = std::min(best.ring.onset_sample, other.ring.onset_sample);
    }
    best.ring.peak_dbfs = std::max(best.ring.peak_dbfs, other.ring.peak_dbfs);
    if (is_certain(other.ring)) {
      best.ring.flagged_sample = std::min(best.ring.flagged_sample, other.ring.flagged_sample);
    }
  }
  best.ring.state = state;
  best.ring.ended_sample = detector::is_over(state) ? sample : detector::kNever;
  return best;
}

}  // namespace brink::taps
