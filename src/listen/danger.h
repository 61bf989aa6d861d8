#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "listen/analysis.h"

namespace brink::listen {

/// What a place could do to the show, from the rings found there.
struct Danger {
  double left_db = 0.0;          ///< from its highest level to full scale; 0 where it reached that
  double growth_db_per_s = 0.0;  ///< of its loudest ring, as far as it can be trusted; 0 or more
  int times = 1;                 ///< how often it rang
  /// What places are sorted by. The level in dBFS that the loudest ring would have had one reaction
  /// time later, at most full scale, and 3 dB for each doubling of `times`.
  double rank_db = 0.0;
};

/// About the time in which a listener who waits for a sound reacts to it (from memory: 0.15 to 0.2
/// s for a simple reaction).
inline constexpr double kReactionS = 0.2;

/// Why a place has no row of its own.
enum class FoldReason : std::uint8_t {
  kProduct,  ///< what a limiter makes of the louder ring, so no cut belongs there
  kCovered,  ///< never sounded but 40 dB under the louder ring
};

/// "product" or "covered".
[[nodiscard]] const char* to_word(FoldReason reason) noexcept;

inline constexpr double kCoveredDb = 40.0;

struct FoldedPlace {
  FoundPlace place;
  FoldReason reason = FoldReason::kCovered;
};

/// A place that stands for itself, with those folded under it.
struct PlaceRow {
  FoundPlace place;
  Danger danger;
  std::vector<FoldedPlace> folded;  ///< in the order in which they rang first
};

enum class RowOrder : std::uint8_t {
  kTime,    ///< which rang first
  kDanger,  ///< the most dangerous first; of two alike, the earlier
};

/// The places of `rings`, which are sorted as in Analysis::rings. A place is folded when each of
/// its rings was a product of, or 40 dB under, a louder ring of its channel that sounded at the
/// same time. It stands under the place of the loudest such ring.
[[nodiscard]] std::vector<PlaceRow> to_rows(std::span<const FoundRing> rings, RowOrder order);

/// The same recording with the rings of these rows alone, not with what is folded under them, and
/// without cuts for all.
[[nodiscard]] Analysis only_rows(const Analysis& analysis, std::span<const PlaceRow> rows);

/// The cuts for the rings of these rows together, not for what is folded under them. `for_rings`:
/// indices into Analysis::rings.
[[nodiscard]] std::vector<cuts::SharedCut> shared_cuts(const Analysis& analysis,
                                                       std::span<const PlaceRow> rows);

}  // namespace brink::listen
