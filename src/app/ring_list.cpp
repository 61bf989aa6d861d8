#include "app/ring_list.h"

#include <algorithm>
#include <utility>

namespace brink::app {
namespace {

/// What a later event adds to what is known of a ring. While it fades, its growth is a decay and
/// says nothing about the loop at the brink, so the one measured before stays.
core::Ring merge(const core::Ring& known, const core::Ring& later) noexcept {
  core::Ring merged = later;
  const bool has_faded =
      later.state == core::RingState::kFading || later.state == core::RingState::kGone;
  if (has_faded) {
    merged.growth_db_per_s = known.growth_db_per_s;
  }
  if (known.frequency_sd_hz < later.frequency_sd_hz) {
    merged.frequency_hz = known.frequency_hz;
    merged.frequency_sd_hz = known.frequency_sd_hz;
  }
  merged.confidence = std::max(known.confidence, later.confidence);
  merged.peak_dbfs = std::max(known.peak_dbfs, later.peak_dbfs);
  if (later.state == core::RingState::kGone) {
    merged.state = known.state;
  }
  return merged;
}

}  // namespace

void RingList::on_event(const core::RingEvent& event) noexcept {
  // From the back: the rings that still sound are among the newest.
  const auto found = std::find_if(
      rings_.rbegin(), rings_.rend(), [&](const auto& r) { return r.id == event.ring.id; });
  if (found == rings_.rend()) {
    rings_.push_back(event.ring);
    return;
  }
  *found = merge(*found, event.ring);
  if (event.ring.state == core::RingState::kGone && !keeps_unsure_ && !was_certain(*found)) {
    rings_.erase(std::next(found).base());
  }
}

}  // namespace brink::app
