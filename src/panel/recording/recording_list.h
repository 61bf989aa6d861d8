#pragma once

#include <string>

#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/recording/recording_rings.h"

namespace brink::panel {

/// The rings as rows; those around the selected one where not all fit.
void draw_recording_rows(const Rect& area,
                         const RecordingRings& rings,
                         double sample_rate_hz,
                         int selected,
                         bool hides_answers,
                         const Theme& theme);

/// What to set for all of them together, and which rings each cut is for. Returns what is left of
/// the area above the card.
Rect draw_recording_cuts(const Rect& area,
                         const RecordingRings& rings,
                         const std::string& target_name,
                         bool hides_answers,
                         const Theme& theme);

}  // namespace brink::panel
