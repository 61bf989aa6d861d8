#pragma once

#include "panel/pane.h"

namespace brink::panel {

/// The hands on the simulated stage: fader, the cuts on its equaliser and their switch. Offers the
/// keys for these.
void draw_stage_card(const Rect& area, Context& context);

[[nodiscard]] float stage_card_height(const Theme& theme) noexcept;

}  // namespace brink::panel
