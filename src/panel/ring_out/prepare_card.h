#pragma once

#include "panel/pane.h"
#include "show/ring_out/ring_out.h"

namespace brink::panel {

/// P ticks the next open point of the checklist.
void offer_ticks(show::RingOut& flow, Actions& actions);

[[nodiscard]] float prepare_card_height(const Theme& theme);

/// The checklist before the fader goes up; a click ticks a point, or clears it.
void draw_prepare_card(const Rect& area, show::RingOut& flow, const Theme& theme);

/// The same place while there is no output yet.
void draw_first_card(const Rect& area, bool is_looking, const Theme& theme);

}  // namespace brink::panel
