#pragma once

#include <vector>

#include "loop/programme.h"
#include "loop/stage.h"
#include "loop/sweep/sweep.h"

namespace brink::loop {

/// A sweep on a simulated stage whose microphone does not reach the loudspeaker.
struct SweepOnStage {
  SweepSignal signal;
  double level_dbfs = -40.0;  ///< peak at the console's output, -100 to 0
  double clock_ratio = 1.0;   ///< the recorder's clock over the player's, 0.99 to 1.01
  ProgrammeConfig noise;      ///< what else reaches the microphone
};

/// What the microphone hears: the signal through the amplifier's limit and `stage.response`, and
/// the noise. Sample 0 is the moment at which the signal's first sample leaves the console. The
/// stage's console delay does not come into it.
[[nodiscard]] std::vector<float> sweep_on_stage(const StageConfig& stage,
                                                const SweepOnStage& sweep);

}  // namespace brink::loop
