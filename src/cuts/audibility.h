#pragma once

#include <cstddef>
#include <span>

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
  kBalanced,   ///< an audible cut has a price; as much stable gain as kMostGain on average
  kMostGain,   ///< net gain alone
};

/// "inaudible", "balanced", "most-gain".
[[nodiscard]] const char* to_word(Sound sound) noexcept;

/// Depth from which a cut of that Q is heard, dB, above 0. q > 0.
[[nodiscard]] double audible_depth_db(double q) noexcept;

[[nodiscard]] inline bool is_heard(double depth_db, double q) noexcept {
  return depth_db > audible_depth_db(q);
}

/// What `other` adds to the depth of the dip that `cut` makes, dB, above 0. Cuts whose Qs lie
/// within a factor of two make one dip where they meet; a narrow cut in a wide one is a dip of its
/// own. (Otherwise a deep cut that is made of two shallow ones would pass as unheard.)
[[nodiscard]] double shared_depth_db(const Cut& cut, const Cut& other) noexcept;

/// Depth of the dip that a cut makes with the others, over its threshold: above 1 it is heard. 0
/// for a cut without depth.
[[nodiscard]] double audibility(std::span<const Cut> cuts, std::size_t index) noexcept;

/// How many cuts a listener could hear. A high-pass is not among them: no threshold was found.
[[nodiscard]] int audible_count(const Setting& setting) noexcept;

}  // namespace brink::cuts
