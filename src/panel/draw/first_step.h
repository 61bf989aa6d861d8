#pragma once

#include <string_view>

#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// What to do first in a pane that has nothing to show yet, in letters that are read from afar: the
/// key in yellow, then what it does. Takes its height, at most `most_height`, off the area's upper
/// edge.
void draw_first_step(Rect& area,
                     std::string_view key,
                     std::string_view words,
                     float most_height,
                     const Theme& theme);

}  // namespace brink::panel
