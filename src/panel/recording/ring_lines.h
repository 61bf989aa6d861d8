#pragma once

#include <span>

#include "listen/analysis.h"
#include "panel/draw/theme.h"
#include "panel/recording/recording_view.h"

namespace brink::panel {

/// Where a ring is drawn, in pixels.
struct RingLine {
  float onset;
  float flagged;
  float ended;
  float y;
  float strip_top;  // its channel's
  float strip_bottom;
  bool is_over;  // else it still sounded when the recording ended
};

[[nodiscard]] RingLine line_of(const PlotScale& scale,
                               const listen::Analysis& analysis,
                               const listen::FoundRing& found);

enum class RingLook {
  kPlain,
  kSelected,
  kFolded,  ///< what has no row of its own
};

/// Draws the lines that are in the plot. A few have marks for their states. Of many, those that
/// lie close are one bar: what a pass draws does not grow with the rings of an evening.
void draw_rings(const Rect& plot,
                std::span<const RingLine> lines,
                RingLook look,
                const Theme& theme);

}  // namespace brink::panel
