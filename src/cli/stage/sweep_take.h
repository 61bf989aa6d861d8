#pragma once

#include "desk/sweep/live_sweep_way.h"
#include "desk/sweep/sweep_run.h"

namespace brink::cli {

/// Plays the sweep and records it, once a line came on stdin; a further line, the end of stdin,
/// Ctrl-C, a ring or a lost device stops it. Says on stderr what is to be done first. Throws
/// base::Error when nothing whole was recorded; its sentence says why.
[[nodiscard]] desk::SweepTake take_sweep(const desk::LiveSweepOptions& options, double level_dbfs);

}  // namespace brink::cli
