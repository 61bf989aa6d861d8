#pragma once

#include "panel/pane.h"

namespace brink::panel {

/// Brink map, spectrum and time strip above one another on one frequency axis: what Listen and Ring
/// out share. With answers hidden, the ruler of guesses in their place.
void draw_live_plots(const Rect& area, const Context& context);

}  // namespace brink::panel
