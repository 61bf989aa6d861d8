#pragma once

#include "desk/reach_form.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// Draws talker, microphone, loudspeaker and listener from above, to scale. The line of the
/// selected distance is highlighted. It draws a sentence when the distances do not fit together.
void draw_reach_plan(const Rect& area,
                     const desk::ReachForm& form,
                     desk::ReachField selected,
                     const Theme& theme);

/// Draws potential and needed gain as two bars on one scale in dB.
void draw_reach_bars(const Rect& area, const loop::Reach& reach, const Theme& theme);

}  // namespace brink::panel
