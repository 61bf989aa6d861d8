#include "robot/rising_rings.h"

#include <algorithm>

#include "base/units.h"

namespace brink::robot {
namespace {

bool is_growing(const detector::Ring& ring) noexcept {
  const bool is_up =
      ring.state == detector::RingState::kBuilding || ring.state == detector::RingState::kRinging;
  return is_up && ring.growth_db_per_s > 0.0;
}

}  // namespace

void RisingRings::on_event(const detector::RingEvent& event) noexcept {
  const auto known = std::find_if(rings_.begin(), rings_.end(), [&](const RisingRing& heard) {
    return heard.ring.id == event.ring.id;
  });
  if (known == rings_.end()) {
    if (is_growing(event.ring) && event.sample >= since_sample_ && rings_.size() < kMost) {
      rings_.push_back({event.ring, event.ring.level_dbfs, event.ring.growth_db_per_s});
    }
  } else if (is_growing(event.ring)) {
    known->ring = event.ring;
  } else {
    known->ring.state = event.ring.state;
  }
}

void RisingRings::look_at(std::span<const detector::TrackView> tracks) noexcept {
  for (RisingRing& heard : rings_) {
    heard.growth_db_per_s = 0.0;
    double highest_dbfs = base::kSilenceDb;  // highest level of the tracks that carry the ring
    for (const detector::TrackView& track : tracks) {
      if (track.ring_id == heard.ring.id && track.level_dbfs > highest_dbfs) {
        highest_dbfs = heard.level_dbfs = track.level_dbfs;
        heard.growth_db_per_s = track.growth_db_per_s;
      }
    }
  }
}

void RisingRings::forget_before(std::int64_t sample) noexcept {
  rings_.clear();
  since_sample_ = sample;
}

int RisingRings::certain_count() const noexcept {
  return static_cast<int>(std::count_if(rings_.begin(), rings_.end(), [](const RisingRing& heard) {
    return heard.ring.flagged_sample != detector::kNever;
  }));
}

bool RisingRings::is_any_left() const noexcept {
  return std::any_of(rings_.begin(), rings_.end(), [](const RisingRing& heard) {
    return !detector::is_over(heard.ring.state);
  });
}

double RisingRings::loudest_dbfs() const noexcept {
  double loudest_dbfs = base::kSilenceDb;
  for (const RisingRing& heard : rings_) {
    if (!detector::is_over(heard.ring.state)) {
      loudest_dbfs = std::max(loudest_dbfs, heard.level_dbfs);
    }
  }
  return loudest_dbfs;
}

}  // namespace brink::robot
