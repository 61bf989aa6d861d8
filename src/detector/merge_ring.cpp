#include "detector/merge_ring.h"

#include <algorithm>

namespace brink::detector {

Ring merge_ring(const Ring& known, const Ring& later) noexcept {
  Ring merged = later;
  const bool is_past_height =
      known.state != RingState::kBuilding && later.peak_dbfs <= known.peak_dbfs;
  if (is_past_height) {
    merged.frequency_hz = known.frequency_hz;
    merged.frequency_sd_hz = known.frequency_sd_hz;
  }
  if (later.state == RingState::kFading) {
    merged.growth_db_per_s = known.growth_db_per_s;
  }
  merged.confidence = std::max(known.confidence, later.confidence);
  merged.peak_dbfs = std::max(known.peak_dbfs, later.peak_dbfs);
  if (later.state == RingState::kGone) {
    merged.state = known.state;
  }
  return merged;
}

}  // namespace brink::detector
