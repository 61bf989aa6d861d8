#pragma once

#include <string>

#include "listen/snapshot.h"
#include "panel/draw/rect.h"
#include "panel/draw/seen.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// The words beside the meter: what is wrong with the level, or else the level as a number. There
/// is no number while no sound comes.
[[nodiscard]] std::string level_words(const listen::TapSnapshot& tap, io::InputHealth health);

/// Draws the peak level of one tap as a bar with a mark at -12 dBFS (common practice), and beside
/// it its words in letters that are read from afar. `is_ringing`: something rings on some tap.
void draw_level_meter(const Rect& area,
                      const listen::TapSnapshot& tap,
                      io::InputHealth health,
                      bool is_ringing,
                      SeenSizes& seen,
                      const Theme& theme);

/// What the words take of the area's width.
[[nodiscard]] float level_words_width(const Theme& theme) noexcept;

}  // namespace brink::panel
