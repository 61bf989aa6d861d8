#pragma once

namespace brink::show {

/// A-weighted sound pressure at a calibrated microphone, dB re 20 uPa. base::kSilenceDb for silence.
struct SoundLevels {
  double one_second_db = 0.0;       ///< LAeq of the last whole second
  double since_start_db = 0.0;      ///< LAeq of all that was heard
  double fifteen_minutes_db = 0.0;  ///< LAeq of the last 15 minutes, or of what was heard of them
  double heard_s = 0.0;             ///< how long "all" is, 1 or more
};

}  // namespace brink::show
