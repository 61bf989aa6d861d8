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
  kBalanced,   ///< an audible cut has a price by its depth; as much stable gain as kMostGain on
               ///< average
  kMostGain,   ///< net gain alone
};

/// "inaudible", "balanced", "most-gain".
[[nodiscard]] const char* to_word(Sound sound) noexcept;

/// Depth from which a cut of that Q is heard, dB, above 0. q > 0.
[[nodiscard]] double audible_depth_db(double q) noexcept;

/// What `other` adds to the depth of the dip that `cut` makes, dB, above 0. Cuts whose Qs lie
/// within a factor of two make one dip where they meet; a narrow cut in a wide one is a dip of its
/// own. (Otherwise a deep cut that is made of two shallow ones would pass as unheard.)
[[nodiscard]] double shared_depth_db(const Cut& cut, const Cut& other) noexcept;

/// Depth of the dip that a cut makes with the others, dB; 0 for a cut without depth.
[[nodiscard]] double dip_depth_db(std::span<const Cut> cuts, std::size_t index) noexcept;

/// That depth over its threshold: above 1 it is heard.
[[nodiscard]] double audibility(std::span<const Cut> cuts, std::size_t index) noexcept;

/// What a listener could hear of cuts. A high-pass is not among them: no threshold was found.
struct HeardCuts {
  int count = 0;
  double audibility = 0.0;  ///< of those that are heard, together

  /// Counts a cut in, if it is heard.
  void add(double depth_db, double q) noexcept {
    const double over = depth_db / audible_depth_db(q);
    if (over > 1.0) {
      ++count;
      audibility += over;
    }
  }
};

[[nodiscard]] HeardCuts heard_cuts(const Setting& setting) noexcept;

[[nodiscard]] inline int audible_count(const Setting& setting) noexcept {
  return heard_cuts(setting).count;
}

}  // namespace brink::cuts
