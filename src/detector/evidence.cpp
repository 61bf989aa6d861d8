#include "detector/evidence.h"

#include <algorithm>
#include <limits>

#include "detector/rules.h"

namespace brink::detector {

namespace {

constexpr int kLookEvery = 3;  // hops: neighbouring looks share most of their samples
constexpr float kMostEvidence = 3.0F;
constexpr float kFreshS = 0.171F;     // a window up to this long brings fresh evidence all the time
constexpr float kHardestBlow = 0.2F;  // nat-seconds that one bad look can take at most
constexpr float kFastDbPerS = 75.0F;  // faster growth counts more, in proportion
constexpr float kMostHaste = 4.0F;    // times as much at most
constexpr float kForget = 2.0F;       // nat-seconds lost per second while nothing grows
constexpr float kMostStandingOdds = 2.0F;  // a line that stands harms nobody: it can wait
constexpr float kFillsTapOdds = 1.0F;      // for a tone that alone fills the tap
constexpr float kLeastGrownDb =
    2.0F;  // over its settled level: hum and held notes have that at once

}  // namespace

void Evidence::gather(const Scales& scales) noexcept {
  surroundings_.gather(scales.all());
  standing_.gather(scales);
}

/// The line that speaks loudest for a ring.
Evidence::Growth Evidence::strongest_growth(const Scale& scale, const Track& track) const noexcept {
  Growth strongest;
  surroundings_.for_each_line(scale, track, [&](const Measures& line, int looks) {
    const float odds = log_odds(line);
    if (strongest.looks == 0 || odds > strongest.log_odds) {
      strongest = {odds, looks, line.rise_db / line.span_s};
    }
  });
  return strongest;
}

int Evidence::add_look(const Scale& scale,
                       Track& track,
                       const SoundingRing* sounding,
                       const SoundingRings& rings) noexcept {
  if (track.age_hops % kLookEvery != 0) {
    return 0;
  }
  // A line that reaches further back is what ended when the ring began to fade.
  const int furthest = sounding != nullptr && sounding->ring.state == RingState::kFading
                           ? sounding->fading_hops
                           : std::numeric_limits<int>::max();
  Growth growth = strongest_growth(scale, track);
  if (growth.looks > furthest) {
    growth = {};
  }
  auto standing = standing_.line_of(scale, track);
  if (standing && standing->looks > furthest) {
    standing.reset();
  }
  track.standing = standing ? log_odds(*standing) : kNothingStands;
  float odds = growth.looks != 0 ? growth.log_odds : -kForget;
  // What has its level from the start on is hum or a held note.
  const bool has_grown = track.look(0).level_dbfs - track.settled_level_dbfs >= kLeastGrownDb;
  if (track.standing > std::max(odds, 0.0F) && has_grown && !rings.is_covered(track) &&
      !rings.is_product(track.frequency_hz, track.look(0).level_dbfs)) {
    odds = std::min(track.standing, kMostStandingOdds);
    growth.looks = std::max(growth.looks, standing->looks);
  }
  // A loop can reach its limiter within one window. Then nobody sees it grow.
  if (standing_.fills_tap(track) && odds < kFillsTapOdds) {
    odds = kFillsTapOdds;
    growth.looks = std::max(growth.looks, Standing::kFillsLooks);
  }
  // Looks through a long window repeat each other: there the same time holds less evidence.
  const float elapsed_s = static_cast<float>(kLookEvery * scale.spectrum.hop_s()) *
                          std::min(1.0F, kFreshS / scale.window_s());
  // A fast ring is at its limiter after a few looks, so each of them has to count more.
  const float haste =
      odds > 0.0F ? std::clamp(growth.db_per_s / kFastDbPerS, 1.0F, kMostHaste) : 1.0F;
  const float gain = std::max(odds * elapsed_s * haste, -kHardestBlow);
  track.evidence = std::clamp(track.evidence + gain, 0.0F, kMostEvidence);
  return growth.looks;
}

}  // namespace brink::detector
