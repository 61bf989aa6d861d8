#pragma once

#include <string>

#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// Moves the choice among `count` rows with the arrow keys. Returns true when Enter was pressed.
[[nodiscard]] bool steer_choice(Actions& actions, int count, int& row);

[[nodiscard]] float choice_row_height(const Theme& theme) noexcept;

/// Draws one row and cuts it off the top of the area. Returns true when it was clicked.
[[nodiscard]] bool draw_choice(Rect& area,
                               const Theme& theme,
                               bool is_chosen,
                               const std::string& left,
                               const std::string& right);

}  // namespace brink::panel
