#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "listen/snapshot.h"
#include "listen/tap_listener.h"
#include "taps/tap_rings.h"

namespace brink::listen {

/// Copies what each tap follows into its snapshot, with the ids of `rings`. `taps`: one for each of
/// `listeners`. [analysis]
void draw_tracks(std::span<const TapListener> listeners,
                 const taps::TapRings& rings,
                 std::vector<TapSnapshot>& taps);

/// Puts the newest spectrum of the tap `shown`, counted from 0, into its snapshot. A larger number
/// asks for all taps as one, in Snapshot::together. The other spectra are empty then: with many
/// taps, spectra would cost more than to listen. `listeners`: one at least. [analysis]
void draw_spectrum(std::span<const TapListener> listeners, std::size_t shown, Snapshot& snapshot);

}  // namespace brink::listen
