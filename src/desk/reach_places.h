#pragma once

#include "loop/reach.h"

namespace brink::desk {

/// A place on the floor, in the distances' own unit.
struct Place {
  double x = 0.0;
  double y = 0.0;
};

/// One plan of the room in which all four distances of a setup are true.
struct ReachPlaces {
  Place talker;  ///< at 0, 0
  Place microphone;
  Place loudspeaker;
  Place listener;  ///< on the x axis
};

/// The distances leave one angle open: the microphone is put as nearly in front of the talker,
/// towards the listener, as they allow, and the loudspeaker to the left of that line (y above 0).
/// For distances that loop::reach() takes.
[[nodiscard]] ReachPlaces reach_places(const loop::ReachSetup& setup) noexcept;

}  // namespace brink::desk
