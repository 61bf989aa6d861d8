#pragma once

#include "panel/pane.h"

namespace brink::panel {

/// Brink map, spectrum and time strip above one another on one frequency axis: what Listen, Ring
/// out and Ear share. With answers hidden, a card in their place.
void draw_live_plots(const Rect& area, const Context& context);

}  // namespace brink::panel
