#pragma once

#include <string>
#include <vector>

#include "loop/sweep/sweep.h"

namespace brink::cli {

struct SweepTakeOptions {
  std::string output;      ///< as io::PlayOutput takes it
  int output_channel = 0;  ///< 0: the first two alike
  std::string input;
  int channel = 1;
  int reference_channel = 0;  ///< what is sent, recorded beside it; 0: none
  double level_dbfs = -40.0;
  loop::SweepSignal signal;  ///< its rate is the input's in the end
};

/// A sweep as it was recorded, from about the moment at which it was begun.
struct SweepTake {
  loop::SweepSignal signal;
  std::vector<float> heard;
  std::vector<float> reference;  ///< empty without one
};

/// Plays the sweep and records, once a line came on stdin; a further line, the end of stdin,
/// Ctrl-C, a ring or a lost device stops it. Says on stderr what is to be done first. Throws
/// base::Error when nothing whole was recorded; its sentence says why.
[[nodiscard]] SweepTake take_sweep(const SweepTakeOptions& options);

}  // namespace brink::cli
