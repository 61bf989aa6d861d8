#pragma once

#include <span>

#include "listen/snapshot.h"

namespace brink::listen {

/// Several taps as one picture, as `tap` 0. `together` keeps its memory from one call to the next.
/// - Level: that of the loudest tap; it is silent or too quiet only where all taps are.
/// - Spectrum: in each bin the loudest tap's. All taps have the same bins.
/// - Tracks: of a ring the loudest line on any tap, once. Of programme the loudest line in each
///   seventieth of an octave, without those beside a ring. Each keeps an id of its own.
/// - Forecast: the one that expects the next ring soonest.
/// - Sound pressure: at the calibrated microphone where it is highest now. [analysis]
void put_together(std::span<const TapSnapshot> taps, TapSnapshot& together);

}  // namespace brink::listen
