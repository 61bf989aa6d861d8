#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "detector/detector.h"
#include "io/source.h"
#include "listen/forecast.h"
#include "listen/input_monitor.h"
#include "listen/sound_meter.h"

namespace brink::listen {

/// Snapshot::late_s from which on the user is told.
inline constexpr double kLateS = 1.0;

struct TapSnapshot {
  int tap = 1;      ///< channel number, from 1; 0: all taps together
  int copy_of = 0;  ///< the channel whose sound this tap carries too; 0: its own
  InputLevel level;
  std::optional<show::SoundLevels> sound;  ///< only of a calibrated microphone, after a second
  detector::InputCounts counts;
  // Both are empty without SessionConfig::has_pictures.
  std::vector<detector::TrackView> tracks;  ///< as from Detector::tracks()
  /// Only of what Session::show_tap() chose, else empty. As from Detector::spectrum_dbfs(); the
  /// frequencies are Session::spectrum_hz().
  std::vector<float> spectrum_dbfs;
  Forecast forecast;  ///< empty when none was asked for
};

/// The state of a session at one moment, for drawing. Counts begin at the start of the session.
struct Snapshot {
  std::uint64_t serial = 0;  ///< rises with each snapshot; 0: nothing was heard yet
  std::int64_t samples = 0;  ///< of each tap; the stream time in samples
  io::InputHealth health = io::InputHealth::kRunning;
  std::int64_t lost_samples = 0;  ///< of each tap
  std::int64_t gap_reports = 0;   ///< how often the device lost some without saying how many
  double late_s = 0.0;            ///< by how much of its sound a live session is late
  std::int64_t lost_events = 0;   ///< events that were not taken in time
  std::vector<TapSnapshot> taps;
  TapSnapshot together;  ///< several taps as one (listen/together.h); of one tap empty
};

}  // namespace brink::listen
