#pragma once

#include "desk/reach_form.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// Talker, microphone, loudspeaker and listener from above, to scale, with the line of the selected
/// distance lit. A sentence where the distances do not meet.
void draw_reach_plan(const Rect& area,
                     const desk::ReachForm& form,
                     desk::ReachField selected,
                     const Theme& theme);

/// Potential and needed gain as two bars on one scale of dB.
void draw_reach_bars(const Rect& area, const loop::Reach& reach, const Theme& theme);

}  // namespace brink::panel
