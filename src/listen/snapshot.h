#pragma once

#include <cstdint>
#include <vector>

#include "detector/detector.h"
#include "io/source.h"
#include "listen/input_monitor.h"

namespace brink::listen {

struct TapSnapshot {
  int tap = 1;  ///< channel number, from 1
  InputLevel level;
  detector::InputCounts counts;
  std::vector<detector::TrackView> tracks;  ///< Detector::tracks()
  std::vector<float> spectrum_dbfs;  ///< Detector::spectrum_dbfs(), on Session::spectrum_hz()
};

/// The state of a session at one moment, for a face to draw. Counts are since the start.
struct Snapshot {
  std::uint64_t serial = 0;  ///< rises with each snapshot; 0: nothing was heard yet
  std::int64_t samples = 0;  ///< of each tap; the stream time in samples
  io::InputHealth health = io::InputHealth::kRunning;
  std::int64_t lost_samples = 0;  ///< of each tap
  std::int64_t gap_reports = 0;   ///< times the device lost some and did not say how many
  std::int64_t lost_events = 0;   ///< nobody took them in time
  std::vector<TapSnapshot> taps;
};

}  // namespace brink::listen
