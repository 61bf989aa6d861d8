#pragma once

#include <span>

#include "app/ring_board.h"
#include "panel/rect.h"
#include "panel/theme.h"

namespace brink::panel {

/// The rings as large rows, as many as fit: frequency, note, growth, cut, state in words and shape.
/// Returns what is left of the area below them.
Rect draw_ring_rows(const Rect& area,
                    std::span<const app::BoardRow> rows,
                    int selected_row,
                    bool hides_answers,
                    const Theme& theme);

/// Height of one row with the gap under it.
[[nodiscard]] float ring_row_height(const Theme& theme) noexcept;

}  // namespace brink::panel
