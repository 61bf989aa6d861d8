#pragma once

#include "panel/pane.h"

namespace brink::panel {

/// Draws brink map, spectrum and time strip above one another on one frequency axis. Listen and
/// Ring out share it. With several taps a row of cells above them shows each tap; a click on one
/// shows it alone, another click all again. While answers are hidden, it draws the ruler for
/// guesses instead.
void draw_live_plots(const Rect& area, Context& context);

}  // namespace brink::panel
