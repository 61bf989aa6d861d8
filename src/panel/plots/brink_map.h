#pragma once

#include <span>

#include "detector/detector.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"
#include "panel/plots/trails.h"

namespace brink::panel {

/// The signature view: log frequency across, growth up, 0 dB/s is the brink. Every track is a
/// point; one that carries a ring has the ring's mark, a trail and its frequency.
void draw_brink_map(const Rect& plot,
                    const FrequencyAxis& axis,
                    std::span<const detector::TrackView> tracks,
                    const Trails& trails,
                    const Theme& theme);

/// Height on the map of a growth: even steps near the brink, logarithmic beyond, so that a creeping
/// ring and a swung microphone both show. 0 is the lower edge, 1 the upper; beyond is cut.
[[nodiscard]] float growth_share(double growth_db_per_s) noexcept;

}  // namespace brink::panel
