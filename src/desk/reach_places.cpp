#include "desk/reach_places.h"

#include <algorithm>
#include <cmath>

namespace brink::desk {
namespace {

/// The point that lies so far from both, on the left of the way from a to b; where the circles only
/// nearly touch, the point between them.
Place meet(Place a, double from_a, Place b, double from_b, double side) noexcept {
  const double apart = std::hypot(b.x - a.x, b.y - a.y);
  const double along =
      apart > 0.0 ? 0.5 * (apart + (from_a * from_a - from_b * from_b) / apart) : 0.0;
  const double across = side * std::sqrt(std::max(from_a * from_a - along * along, 0.0));
  const double unit_x = apart > 0.0 ? (b.x - a.x) / apart : 1.0;
  const double unit_y = apart > 0.0 ? (b.y - a.y) / apart : 0.0;
  return {a.x + along * unit_x - across * unit_y, a.y + along * unit_y + across * unit_x};
}

}  // namespace

ReachPlaces reach_places(const loop::ReachSetup& setup) noexcept {
  ReachPlaces places;
  places.listener = {setup.talker_to_listener, 0.0};
  const double in_front = std::abs(setup.talker_to_listener - setup.talker_to_microphone);
  const double nearest = std::abs(setup.microphone_to_loudspeaker - setup.loudspeaker_to_listener);
  const double farthest = setup.microphone_to_loudspeaker + setup.loudspeaker_to_listener;
  const double microphone_to_listener = std::min(std::max(in_front, nearest), farthest);
  // To the right of the talker's line, so that the loudspeaker is on the other side.
  places.microphone = meet(
      places.talker, setup.talker_to_microphone, places.listener, microphone_to_listener, -1.0);
  places.loudspeaker = meet(places.microphone,
                            setup.microphone_to_loudspeaker,
                            places.listener,
                            setup.loudspeaker_to_listener,
                            1.0);
  return places;
}

}  // namespace brink::desk
