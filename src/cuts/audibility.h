#pragma once

#include "cuts/cut.h"
#include "cuts/setting.h"

namespace brink::cuts {

/// What a listener hears of cuts on music. Thresholds are those of resonances on popular music: 1.5
/// dB at Q 1, 3 dB at Q 10, 5 dB at Q 50 (F. E. Toole, S. E. Olive, "The modification of timbre by
/// resonances: perception and measurement", J. Audio Eng. Soc. 36(3), 122-142, 1988; read
/// second-hand), joined by 1.5 Q^0.30. Dips are heard less than peaks, so who counts them by these
/// counts rather too many.

/// How they are chosen when a plan is made.
enum class Sound {
  kInaudible,  ///< no cut deeper than its threshold
  kBalanced,   ///< an audible cut has a price
  kMostGain,   ///< net gain alone
};

/// Depth from which a cut of that Q is heard, dB, above 0. q > 0.
[[nodiscard]] double audible_depth_db(double q) noexcept;

/// Depth over that: above 1 the cut is heard. 0 for none.
[[nodiscard]] double audibility(const Cut& cut) noexcept;

/// How many cuts a listener could hear. A high-pass is not among them: no threshold was found.
[[nodiscard]] int audible_count(const Setting& setting) noexcept;

}  // namespace brink::cuts
