#pragma once

#include "app/snapshot.h"
#include "panel/rect.h"
#include "panel/theme.h"

namespace brink::panel {

/// Peak level of one tap on a bar with the usual mark at -12 dBFS (common practice), and in words
/// what is wrong with it, if anything.
void draw_level_meter(const Rect& area, const app::TapSnapshot& tap, const Theme& theme);

}  // namespace brink::panel
