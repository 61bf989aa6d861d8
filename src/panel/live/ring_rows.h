#pragma once

#include <span>
#include <string>

#include "desk/live_rings.h"
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
  detector::RingState state = detector::RingState::kBuilding;
  double frequency_hz = 0.0;
  double growth_db_per_s = 0.0;
  std::string cut = {};    ///< what to set on the equaliser
  std::string about = {};  ///< a line under it; empty: none
  std::string foot = {};   ///< right of the state
  bool is_foot_lit = false;
};

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

/// The rings as large rows, as many as fit: frequency, note, growth, cut, state in words and shape.
/// `kind`: of the target. `deaf`: deaf_words(). `names_taps`: each says on which channel. Returns
/// what is left of the area below them.
Rect draw_ring_rows(const Rect& area,
                    std::span<const desk::BoardRow> rows,
                    cuts::Target::Kind kind,
                    int selected_row,
                    const std::string& deaf,
                    bool names_taps,
                    bool hides_answers,
                    const Theme& theme);

/// Height of one row with the gap under it.
[[nodiscard]] float ring_row_height(const Theme& theme) noexcept;

}  // namespace brink::panel
