#pragma once

#include <optional>
#include <span>
#include <string>

#include "panel/live/ring_card.h"
#include "panel/pane.h"

namespace brink::panel {

/// What stands in the place of rings while there is none to show, or while no sound comes: silence
/// says nothing of a loop. `deaf`: deaf_words().
struct QuietWords {
  std::string heading;
  std::string line;
};

[[nodiscard]] QuietWords quiet_words(const std::string& deaf, bool is_check);
/// Into the upper end of the area, which it takes off.
void draw_quiet_card(Rect& area, const std::string& deaf, bool is_check, const Theme& theme);

/// Of the column of cards beside the plots: wide enough for a frequency that is read from afar.
[[nodiscard]] float cards_width(float pane_width, const Theme& theme) noexcept;

/// What did not fit: "and 2 more", "and 2 more, 3 are over"; what is over is not counted as more.
[[nodiscard]] std::string more_words(int sounding, int over);

/// How high the cards stand, and how many there is room for.
struct CardHeights {
  float lit = 0.0F;
  float row = 0.0F;
  std::size_t rows = 0;  ///< beside the lit one
};

/// The lit one is the largest, and gives way as others come, down to what it needs.
[[nodiscard]] CardHeights share_out(float height,
                                    const RingCard& lit,
                                    std::size_t others,
                                    const Theme& theme) noexcept;

/// The lit one as a large card, the others as rows, as many as fit: the more there are, the smaller
/// they stand. The lit one is always among them, with all of its bands. Returns the one that was
/// clicked.
std::optional<std::size_t> draw_ring_cards(const Rect& area,
                                           std::span<const RingCard> cards,
                                           std::size_t lit,
                                           Context& context);

}  // namespace brink::panel
