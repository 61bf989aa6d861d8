#pragma once

#include <string>
#include <vector>

#include "ear/progress.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// A trainee's progress as pictures and words: error by band and by week, hits, time, octave slips.
/// `fault`: why the book could not be read; empty: it could.
void draw_ear_progress(const Rect& area,
                       const ear::EarProgress& progress,
                       const std::string& fault,
                       const Theme& theme);

/// The same in words, a sentence each.
[[nodiscard]] std::vector<std::string> progress_words(const ear::EarProgress& progress);

}  // namespace brink::panel
