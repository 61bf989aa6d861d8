#include "panel/plots/trails.h"

namespace brink::panel {

void Trails::look(std::span<const detector::TrackView> tracks) {
  ++look_count_;
  for (const detector::TrackView& track : tracks) {
    Trail& trail = trails_[track.track_id];
    trail.seen = look_count_;
    trail.points[trail.count++ % kPoints] = {static_cast<float>(track.frequency_hz),
                                             static_cast<float>(track.growth_db_per_s)};
  }
  std::erase_if(trails_, [this](const auto& entry) { return entry.second.seen != look_count_; });
}

const Trails::Trail* Trails::find(std::uint64_t track_id) const noexcept {
  const auto found = trails_.find(track_id);
  return found == trails_.end() ? nullptr : &found->second;
}

}  // namespace brink::panel
