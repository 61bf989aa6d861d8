#pragma once

#include <functional>
#include <optional>
#include <string>

#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/recording/recording_rings.h"

namespace brink::panel {

/// What the rows need beside the rings.
struct RowsShown {
  double sample_rate_hz = 48000.0;
  int selected = 0;
  bool hides_answers = false;
  std::function<std::string(std::size_t row)> note = {};  ///< the user's words about a row
};

/// What the mouse asked of a row.
struct RowClick {
  int row = 0;
  bool is_tick = false;  ///< its box: not only the row
};

/// The places as rows; those around the selected one where not all fit.
[[nodiscard]] std::optional<RowClick> draw_recording_rows(const Rect& area,
                                                          const RecordingRings& rings,
                                                          const RowsShown& shown,
                                                          const Actions& actions,
                                                          const Theme& theme);

/// What to set for all that are ticked together, and which rings each cut is for. Returns what is
/// left of the area above the card.
Rect draw_recording_cuts(const Rect& area,
                         const RecordingRings& rings,
                         const std::string& target_name,
                         bool hides_answers,
                         const Theme& theme);

}  // namespace brink::panel
