#pragma once

#include <string>
#include <vector>

#include "bench/loop_room.h"
#include "loop/programme.h"

namespace brink::bench {

inline constexpr double kTapsRateHz = 48000.0;

/// The taps of a loop while programme runs, at kTapsRateHz.
struct LoopTaps {
  std::vector<float> microphone;
  std::vector<float> feed;  ///< of the loudspeaker; empty without other programme
};

/// Other programme in the feed, and how loud.
struct OtherProgramme {
  std::string name;
  loop::ProgrammeConfig programme;
  double level_db = 0.0;  ///< over the microphone's own programme in the feed
};

/// The programme at the microphone of a loop that stands at that gain re its brink. `other`, unless
/// it is nullptr, is in the feed too, and reaches the microphone through the loudspeaker.
[[nodiscard]] LoopTaps play(const LoopRoom& room,
                            const loop::ProgrammeConfig& programme,
                            const OtherProgramme* other,
                            double gain_db,
                            double length_s);

}  // namespace brink::bench
