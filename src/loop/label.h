#pragma once

#include <span>
#include <vector>

#include "loop/truth.h"

namespace brink::loop {

/// A ring that a listener at the tap would hear. A detector should find it.
struct RingLabel {
  double frequency_hz = 0.0;    ///< whole-turn frequency at the moment of highest loop gain
  double pole_hz = 0.0;         ///< frequency of its pole: the tone that is heard
  double unstable_s = kNeverS;  ///< when its loop gain passed the brink
  double stable_again_s = kNeverS;
  double dominant_s =
      kNeverS;          ///< from here on it stands kDominantDb above the programme in its band
  double low_hz = 0.0;  ///< lowest frequency, where a moving microphone changes it
  double high_hz = 0.0;
  double peak_dbfs = 0.0;        ///< highest level; a full-scale sine reads 0
  double excess_db = 0.0;        ///< highest loop gain, above the brink
  double growth_db_per_s = 0.0;  ///< growth of its pole at that gain
};

inline constexpr double kDominantDb = 10.0;  ///< above the programme in the ring's third-octave
inline constexpr double kMaskedDb = 20.0;  ///< a ring this far below a louder one need not be found

/// Which of the loop's unstable frequencies could be heard. `closed` is the tap with the loop
/// closed. `open` is the same programme through the same gain with the loop cut open. Sample n of
/// both belongs to the same moment.
[[nodiscard]] std::vector<RingLabel> label_rings(const LoopTruth& truth,
                                                 std::span<const float> closed,
                                                 std::span<const float> open,
                                                 double sample_rate_hz);

}  // namespace brink::loop
