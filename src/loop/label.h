#pragma once

#include <span>
#include <vector>

#include "loop/truth.h"

namespace brink::loop {

/// A ring that a listener at the tap would hear: what a detector is asked for.
struct RingLabel {
  double frequency_hz = 0.0;    ///< whole-turn frequency at its highest loop gain
  double pole_hz = 0.0;         ///< what it rings at
  double unstable_s = kNeverS;  ///< its loop gain passed the brink
  double stable_again_s = kNeverS;
  double dominant_s =
      kNeverS;          ///< it stands kDominantDb over the programme in its band from here on
  double low_hz = 0.0;  ///< where a moving microphone bends it
  double high_hz = 0.0;
  double peak_dbfs = 0.0;        ///< a full-scale sine reads 0
  double excess_db = 0.0;        ///< highest loop gain
  double growth_db_per_s = 0.0;  ///< of its pole, at that gain
};

inline constexpr double kDominantDb = 10.0;  ///< over the programme in its third-octave
inline constexpr double kMaskedDb = 20.0;  ///< a ring this far below a louder one is not asked for

/// Which of the loop's unstable frequencies came to be heard, from the tap with the loop closed and
/// the same programme through the same gain with the loop cut open. Both hold one sample for each
/// other.
[[nodiscard]] std::vector<RingLabel> label_rings(const LoopTruth& truth,
                                                 std::span<const float> closed,
                                                 std::span<const float> open,
                                                 double sample_rate_hz);

}  // namespace brink::loop
