#pragma once

#include <cstdint>
#include <optional>

#include "listen/analysis.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/recording/recording_picture.h"
#include "panel/recording/recording_rings.h"
#include "panel/recording/recording_view.h"

namespace brink::panel {

/// A place in the plot that is read.
struct RecordingCursor {
  double sample = 0.0;
  double frequency_hz = 1000.0;
  int channel = 1;  ///< from 1
};

/// The part of the area that the picture takes; the rest is for the scales.
[[nodiscard]] Rect recording_plot_area(Rect area, const Theme& theme);

/// The picture with its scales and the rings on it, those of the selected row strongest.
void draw_recording_plot(const PlotScale& scale,
                         const RecordingPicture& picture,
                         const listen::Analysis& analysis,
                         const RecordingRings& rings,
                         int selected,
                         const Theme& theme);

/// A row below the plot with the same time axis: the level of the selected row's channel at its
/// frequency, and on it the straight growth as it was found.
void draw_level_row(const Rect& area,
                    const PlotScale& scale,
                    const RecordingPicture& picture,
                    const listen::Analysis& analysis,
                    const listen::FoundRing& found,
                    const Theme& theme);

/// The place that sounds, if any; over what was drawn.
void draw_sounding_place(const PlotScale& scale,
                         std::optional<std::int64_t> sample,
                         const Theme& theme);

/// The lines through the cursor.
void draw_cursor(const PlotScale& scale, const RecordingCursor& cursor, const Theme& theme);

/// The ring that is drawn there or near it, the nearest; nothing when none is near.
[[nodiscard]] std::optional<RingKey> ring_at(const PlotScale& scale,
                                             const listen::Analysis& analysis,
                                             const RecordingRings& rings,
                                             float x,
                                             float y,
                                             const Theme& theme);

}  // namespace brink::panel
