#pragma once

#include <string>

#include "listen/snapshot.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// The words beside the meter: what is wrong with the level, or else the level as a number. There
/// is no number while no sound comes.
[[nodiscard]] std::string level_words(const listen::TapSnapshot& tap, io::InputHealth health);

/// Draws the peak level of one tap as a bar with a mark at -12 dBFS (common practice), and its
/// words.
void draw_level_meter(const Rect& area,
                      const listen::TapSnapshot& tap,
                      io::InputHealth health,
                      const Theme& theme);

}  // namespace brink::panel
