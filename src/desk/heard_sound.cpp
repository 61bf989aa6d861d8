#include "desk/heard_sound.h"

#include <algorithm>

#include "base/units.h"

namespace brink::desk {

show::HeardSound heard_sound(const listen::Snapshot& snapshot, double sample_rate_hz) noexcept {
  show::HeardSound sound;
  sound.stream_s = static_cast<double>(snapshot.samples) / sample_rate_hz;
  sound.is_running = snapshot.health == io::InputHealth::kRunning;
  sound.peak_dbfs = base::kSilenceDb;
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    if (!tap.level.is_silent) {
      sound.peak_dbfs = std::max(sound.peak_dbfs, tap.level.peak_dbfs);
    }
  }
  return sound;
}

}  // namespace brink::desk
