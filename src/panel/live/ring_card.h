#pragma once

#include <string>
#include <vector>

#include "detector/ring.h"
#include "panel/pane.h"

namespace brink::panel {

/// A ring that only builds has no cut: it may be music (docs/listen.md).
inline constexpr const char* kNoCutYet = "no cut yet";

[[nodiscard]] inline bool is_flagged(const detector::Ring& ring) noexcept {
  return ring.flagged_sample != detector::kNever;
}

/// A ring as a card: frequency, note, growth, cut, state in words and shape.
struct RingCard {
  detector::Ring ring = {};             ///< as it is now
  std::string cut = {};                 ///< what to set on the equaliser
  std::string about = {};               ///< a line under it; empty: none
  std::vector<std::string> bands = {};  ///< each that changes, where they are several
  std::string foot = {};                ///< right of the state
  bool is_foot_lit = false;
};

/// "2.63 kHz", or "? Hz" while answers are hidden.
[[nodiscard]] std::string shown_frequency(const detector::Ring& ring, bool hides_answers);

/// The lit one, in letters that are read from two metres: what it needs at least, and the most that
/// it has a use for.
[[nodiscard]] float least_card_height(const RingCard& card, const Theme& theme) noexcept;
[[nodiscard]] float whole_card_height(const RingCard& card, const Theme& theme) noexcept;

/// As large as there is room for.
void draw_lit_card(const Rect& area, const RingCard& card, Context& context);

/// One that is not lit: a row, of at least kRowHeight and at most kMostRowHeight at scale 1.
inline constexpr float kRowHeight = 44.0F;
inline constexpr float kMostRowHeight = 104.0F;
void draw_ring_row(const Rect& area, const RingCard& card, Context& context);

}  // namespace brink::panel
