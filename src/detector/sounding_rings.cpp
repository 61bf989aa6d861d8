#include "detector/sounding_rings.h"

#include <algorithm>
#include <cmath>

#include "detector/limiter_products.h"

namespace brink::detector {

namespace {

constexpr float kSameRingRatio = 0.003F;  // 5 cents; a ring is known far better than that
constexpr float kSameRingBins = 0.75F;
constexpr double kGlideHz = 20.0;  // a louder ring within so much leaves no room for a second
constexpr double kGlideRatio = 0.01;
constexpr double kGlideAlone = 2.0;  // times as far when no other line there can be the ring
constexpr double kGlideLouderDb = 6.0;

}  // namespace

SoundingRings::SoundingRings() {
  rings_.reserve(kMost);
}

SoundingRing* SoundingRings::add() noexcept {
  return rings_.size() == kMost ? nullptr : &rings_.emplace_back();
}

void SoundingRings::drop_those_over() noexcept {
  std::erase_if(rings_, [](const SoundingRing& sounding) { return is_over(sounding.ring.state); });
}

const Ring* SoundingRings::find(std::uint32_t id) const noexcept {
  const auto found = std::find_if(
      rings_.begin(), rings_.end(), [&](const SoundingRing& s) { return s.ring.id == id; });
  return found == rings_.end() ? nullptr : &found->ring;
}

bool SoundingRings::any_flagged() const noexcept {
  return std::any_of(rings_.begin(), rings_.end(), [](const SoundingRing& sounding) {
    return sounding.ring.flagged_sample != kNever;
  });
}

SoundingRing* SoundingRings::led_by(const Scale& scale, const Track& track) noexcept {
  const auto found = std::find_if(rings_.begin(), rings_.end(), [&](const SoundingRing& sounding) {
    return sounding.last_lead == track.id && sounding.lead_scale == &scale;
  });
  return found == rings_.end() ? nullptr : &*found;
}

/// A flagged ring may glide. A line beside it that is not much louder is its skirt, its beat or the
/// place that it glides to. One tone makes one peak in each window. So where a ring has no peak
/// now, a line a little further away is that ring, too.
SoundingRing* SoundingRings::at(const Scale& scale,
                                const Track& track,
                                const SoundingRing* other_than) noexcept {
  const auto frequency = static_cast<double>(track.frequency_hz);
  const auto level = static_cast<double>(track.look(0).level_dbfs);
  const double reach_hz =
      std::max(static_cast<double>(kSameRingRatio) * frequency,
               static_cast<double>(kSameRingBins) * scale.spectrum.bin_width_hz());
  SoundingRing* nearest = nullptr;
  double best = 1.0;
  for (SoundingRing& sounding : rings_) {
    if (&sounding == other_than) {
      continue;
    }
    const Ring& ring = sounding.ring;
    double distance_hz = std::abs(ring.frequency_hz - frequency);
    double within_hz = reach_hz;
    if (ring.state == RingState::kRinging && level < ring.level_dbfs + kGlideLouderDb) {
      const double outside_hz =
          std::max({0.0, ring.frequency_low_hz - frequency, frequency - ring.frequency_high_hz});
      distance_hz = std::min(distance_hz, outside_hz);
      const double glides_hz = std::min(kGlideHz, kGlideRatio * ring.frequency_hz);
      within_hz = std::max(within_hz, glides_hz);
      if (distance_hz > within_hz && !has_peak(scale, ring.id)) {
        within_hz = std::max(within_hz, kGlideAlone * glides_hz);
      }
    }
    const double distance = distance_hz / within_hz;
    if (distance <= best) {
      best = distance;
      nearest = &sounding;
    }
  }
  return nearest;
}

/// Whether the ring shows in this scale.
bool SoundingRings::has_peak(const Scale& scale, std::uint32_t ring_id) noexcept {
  const auto tracks = scale.tracks.live();
  return std::any_of(tracks.begin(), tracks.end(), [&](const Track* track) {
    return track->ring_id == ring_id && track->look(0).is_peak();
  });
}

bool SoundingRings::is_covered(const Track& track) const noexcept {
  constexpr double kWeakerDb = 12.0;
  const auto level = static_cast<double>(track.look(0).level_dbfs);
  return std::any_of(rings_.begin(), rings_.end(), [&](const SoundingRing& sounding) {
    return sounding.ring.flagged_sample != kNever && sounding.ring.id != track.ring_id &&
           sounding.ring.level_dbfs >= limiting_dbfs(level, kWeakerDb);
  });
}

bool SoundingRings::is_lead(const Ring& ring) const noexcept {
  constexpr double kWeakerDb = 12.0;
  return std::none_of(rings_.begin(), rings_.end(), [&](const SoundingRing& sounding) {
    return sounding.ring.flagged_sample != kNever && sounding.ring.id != ring.id &&
           sounding.ring.level_dbfs >= ring.level_dbfs + kWeakerDb;
  });
}

bool SoundingRings::is_far_covered(const Ring& ring) const noexcept {
  constexpr double kFarDb = 40.0;
  return std::any_of(rings_.begin(), rings_.end(), [&](const SoundingRing& sounding) {
    return sounding.ring.flagged_sample != kNever && sounding.ring.id != ring.id &&
           sounding.ring.level_dbfs >= limiting_dbfs(ring.level_dbfs, kFarDb);
  });
}

bool SoundingRings::is_product(float frequency_hz, float level_dbfs) const noexcept {
  const auto tone_of = [](const SoundingRing& sounding) {
    const Ring& ring = sounding.ring;
    return RingTone{ring.frequency_hz, ring.level_dbfs, ring.flagged_sample != kNever};
  };
  return is_limiter_product(
      static_cast<double>(frequency_hz), static_cast<double>(level_dbfs), rings_, tone_of);
}

}  // namespace brink::detector
