#pragma once

#include "listen/snapshot.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"
#include "panel/plots/trails.h"
#include "show/live_rings.h"

namespace brink::panel {

/// The main view: log frequency to the right, growth upwards; 0 dB/s is the brink. Every track is a
/// point; one that carries a ring has the ring's mark, a trail and its frequency as the list
/// of live rings has it.
void draw_brink_map(const Rect& plot,
                    const FrequencyAxis& axis,
                    const listen::TapSnapshot& tap,
                    const show::LiveRings& live,
                    const Trails& trails,
                    const Theme& theme);

/// Height of a growth on the map, 0 (lower edge) to 1 (upper edge). The scale is linear near the
/// brink and logarithmic beyond, so that a slow ring and a swung microphone both show. Values
/// beyond the edges are limited.
[[nodiscard]] float growth_share(double growth_db_per_s) noexcept;

}  // namespace brink::panel
