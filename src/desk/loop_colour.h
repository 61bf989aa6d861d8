#pragma once

#include <cstdint>

#include "loop/stage.h"

namespace brink::desk {

/// Gives a flat loop what real ones have: peaks of the loudspeaker and the microphone. Three of 2.5
/// to 5 dB with Q 2 to 5, one in each of 200 to 630 Hz, 0.8 to 2 kHz and 2.5 to 6.3 kHz, drawn by
/// the seed: a loudspeaker that is called good to 3 dB either way, and a vocal microphone's
/// presence of 3 to 6 dB, are common practice. Then scales the loop so that it stands on its brink
/// at a gain of 0 dB, as before. Some 100 ms of work. [any]
void colour_loop(loop::StageConfig& stage, std::uint64_t seed);

}  // namespace brink::desk
