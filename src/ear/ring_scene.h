#pragma once

#include <cstdint>

#include "loop/scene.h"

namespace brink::ear {

struct RingSceneOptions {
  double wanted_hz = 1000.0;  ///< 100 to 10000
  double growth_db_per_s = 60.0;
  double start_s = 0.3;  ///< when the fader goes past the brink
  double length_s = 5.0;
  double limit_dbfs = -18.0;
  loop::ProgrammeConfig programme;
  std::uint64_t seed = 1;  ///< of the room
};

/// A small stage that rings at a frequency of our choice, and only there. It has a room made as in
/// loop/room.h and a loudspeaker with a resonance at that frequency. The console's delay is trimmed
/// by less than one period, so that the loop's phase is a whole turn there. The gain is 6 dB below
/// the brink and then steps past it. The excess is the wanted growth times the group delay. The
/// loop's poles show whether this worked. If a room does not allow it, the next room is taken.
struct RingScene {
  loop::Scene scene;
  double ring_hz = 0.0;    ///< frequency of the loop's pole at its final gain
  double excess_db = 0.0;  ///< final loop gain above the brink
  double growth_db_per_s = 0.0;
};

/// Throws base::Error when `wanted_hz` is out of range.
[[nodiscard]] RingScene make_ring_scene(const RingSceneOptions& options);

}  // namespace brink::ear
