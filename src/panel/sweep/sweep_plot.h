#pragma once

#include "desk/sweep/sweep_work.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// Draws what was measured in each third-octave, with one standard deviation to either side: level
/// over the noise, phase, group delay, on one frequency axis. The frequencies that ring first are
/// numbered, unless answers are hidden. Without a measurement the axes are empty.
void draw_sweep_plots(const Rect& area,
                      const desk::SweepWork& work,
                      bool hides_answers,
                      const Theme& theme);

}  // namespace brink::panel
