#pragma once

#include <string>

#include "listen/snapshot.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// What stands beside the meter: what is wrong with the level, or its number; never a number while
/// nothing comes.
[[nodiscard]] std::string level_words(const listen::TapSnapshot& tap, io::InputHealth health);

/// Peak level of one tap on a bar with the usual mark at -12 dBFS (common practice), and its words.
void draw_level_meter(const Rect& area,
                      const listen::TapSnapshot& tap,
                      io::InputHealth health,
                      const Theme& theme);

}  // namespace brink::panel
