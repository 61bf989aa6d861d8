#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "detector/ring.h"
#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// A ring that only builds has no cut: it may be music (docs/listen.md).
inline constexpr const char* kNoCutYet = "no cut yet";

[[nodiscard]] inline bool is_flagged(const detector::Ring& ring) noexcept {
  return ring.flagged_sample != detector::kNever;
}

/// A ring as a large card: frequency, note, growth, cut, state in words and shape.
struct RingCard {
  detector::Ring ring = {};             ///< as it is now
  std::string cut = {};                 ///< what to set on the equaliser
  std::string about = {};               ///< a line under it; empty: none
  std::vector<std::string> bands = {};  ///< each that changes, where they are several
  std::string foot = {};                ///< right of the state
  bool is_foot_lit = false;
};

/// With all its bands.
[[nodiscard]] float ring_card_height(const RingCard& card, const Theme& theme) noexcept;

/// The one thing to do first, in the largest letters there are: cuts the banner off the area when
/// one of these rings is urgent (ring_words()).
void draw_down_now(Rect& area,
                   std::span<const detector::Ring> rings,
                   bool hides_answers,
                   const Theme& theme);

void draw_ring_card(const Rect& area,
                    const RingCard& card,
                    bool is_selected,
                    bool hides_answers,
                    const Theme& theme);

/// What stands in the place of rings while there is none to show, or while no sound comes: silence
/// says nothing of a loop. `deaf`: deaf_words().
struct QuietWords {
  std::string heading;
  std::string line;
};

[[nodiscard]] QuietWords quiet_words(const std::string& deaf, bool is_check);
/// Into the upper end of the area, which it takes off.
void draw_quiet_card(Rect& area, const std::string& deaf, bool is_check, const Theme& theme);

/// What did not fit: "and 2 more", "and 2 more, 3 are over"; what is over is not counted as more.
[[nodiscard]] std::string more_words(int sounding, int over);

/// The cards from the top, as many as fit; the lit one is among them with all of its bands. Returns
/// the one that was clicked.
std::optional<std::size_t> draw_ring_cards(const Rect& area,
                                           std::span<const RingCard> cards,
                                           std::size_t lit,
                                           bool hides_answers,
                                           const Actions& actions,
                                           const Theme& theme);

}  // namespace brink::panel
