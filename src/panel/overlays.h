#pragma once

#include <string>

#include "listen/snapshot.h"
#include "panel/pane.h"

namespace brink::panel {

/// Pages over everything else; Escape closes them.
void draw_help(const Rect& area, Context& context);

/// What was heard until now at a calibrated microphone; else why no sound pressure is told.
[[nodiscard]] std::string exposure_words(const listen::TapSnapshot& tap);

void draw_exposure_guide(const Rect& area, Context& context);

/// A sheet of paper over the darkened window, its heading drawn; returns the place for its text.
[[nodiscard]] Rect draw_overlay_page(
    const Rect& area, const Theme& theme, float width, float height, const char* heading);

}  // namespace brink::panel
