#pragma once

#include "desk/sweep/sweep_work.h"
#include "panel/draw/text_form.h"

namespace brink::panel {

/// Asks what the sweep cannot see, where it is played and how loud it may be. On the simulated
/// stage only what the stage does not say itself.
void ask_sweep_settings(TextForm& form, desk::SweepWork& work);

}  // namespace brink::panel
