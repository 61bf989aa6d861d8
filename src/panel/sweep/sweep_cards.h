#pragma once

#include <string>

#include "desk/sweep/sweep_work.h"
#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// What the card says of the sweep now: "Hold Space for 22 s."
[[nodiscard]] std::string sweep_state_words(const desk::SweepWork& work);

/// What must be said and known before it plays, and how it goes; takes itself off the area. Returns
/// true when the user asked to say that the microphone's way is shut, or is not.
bool draw_sweep_card(Rect& area,
                     const desk::SweepWork& work,
                     const Actions& actions,
                     const Theme& theme);

/// What to mind before anything sounds.
void draw_sweep_cautions(const Rect& area, const desk::SweepWork& work, const Theme& theme);

/// The rings to come, and the plan against them. `work` must have a report.
void draw_sweep_forecast(const Rect& area, const desk::SweepWork& work, const Theme& theme);

}  // namespace brink::panel
