#pragma once

#include "app/settings.h"
#include "app/show_keeper.h"
#include "panel/text_form.h"

namespace brink::panel {

// What is typed while a show is rung out; each takes what was typed to the show. The keeper must
// outlive the form.

/// Name, microphone, position and target; of a new output what was said last is put forward.
void ask_new_output(TextForm& form, app::ShowKeeper& keeper, const app::Settings& remembered);
void ask_output_change(TextForm& form, app::ShowKeeper& keeper);
void ask_show_words(TextForm& form, app::ShowKeeper& keeper);
void ask_notes(TextForm& form, app::ShowKeeper& keeper);
void ask_fader(TextForm& form, app::ShowKeeper& keeper, double shown_db);
/// With a margin that can be changed.
void ask_back_off(TextForm& form, app::ShowKeeper& keeper, double& margin_db);

}  // namespace brink::panel
