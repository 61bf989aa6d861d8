#include "detector/rings.h"

#include <algorithm>
#include <cmath>

#include "detector/confidence.h"
#include "detector/limiter_products.h"
#include "detector/rules.h"
#include "detector/track_line.h"

namespace brink::detector {

namespace {

constexpr float kCertain = 0.125F;   // nat-seconds: from here it is `ringing`
constexpr float kPromising = 0.04F;  // nat-seconds: from here it is `building`
constexpr float kMostEvidence = 3.0F;
constexpr float kFreshS = 0.171F;     // a window up to this long brings fresh evidence all the time
constexpr float kHardestBlow = 0.2F;  // nat-seconds that one bad look can take at most
constexpr float kForget = 2.0F;       // nat-seconds lost per second while nothing grows
constexpr int kLookEvery = 3;         // hops: neighbouring looks share most of their samples

/// A loop's tone shifts by about so much between its growth and its limiter, and beside another:
/// fitted to the truth of 61 simulated rings (docs/log.md). Noise blurs a good line far less.
constexpr double kLoopShiftHz = 0.1;
constexpr double kLoopShiftRatio = 3e-5;

constexpr double kFaintDbfs = -70.0;  // a ring below is `building` at most: nobody hears it yet

constexpr std::size_t kMaxRings = 64;
constexpr float kSameRingRatio = 0.003F;  // 5 cents; a ring is known far better than that
constexpr float kSameRingBins = 0.75F;
constexpr float kUnseenS = 0.4F;  // a syllable may cover a ring for as long
constexpr float kFadedDb = 3.0F;  // below its highest level: it fades
constexpr float kFadeDbPerS = -6.0F;
constexpr float kGoneDb = 40.0F;  // below its highest level: nobody hears it

}  // namespace

Rings::Rings(double sample_rate_hz) : sample_rate_hz_{sample_rate_hz} {
  active_.reserve(kMaxRings);
}

const Ring* Rings::find(std::uint32_t id) const noexcept {
  const auto found = std::find_if(
      active_.begin(), active_.end(), [&](const Active& a) { return a.ring.id == id; });
  return found == active_.end() ? nullptr : &found->ring;
}

void Rings::advance(std::span<Scale> scales, std::int64_t now_sample, EventSink& sink) noexcept {
  hop_s_ = scales.front().spectrum.hop_s();
  surroundings_.gather(scales);
  for (Active& active : active_) {
    active.lead = nullptr;
  }
  for (Scale& scale : scales) {
    for (Track* track : scale.tracks.live()) {
      judge(scale, *track, now_sample, sink);
    }
  }
  for (Active& active : active_) {
    const RingState before = active.ring.state;
    follow(active, now_sample, sink);
    if (active.ring.state == RingState::kFading && before != RingState::kFading) {
      forget_growth(scales, active.ring.id);
    }
  }
  std::erase_if(active_,
                [](const Active& active) { return active.ring.state == RingState::kGone; });
}

void Rings::finish(std::int64_t now_sample, EventSink& sink) noexcept {
  for (Active& active : active_) {
    change(active, RingState::kGone, now_sample, sink);
  }
  active_.clear();
}

/// The line that speaks loudest for a ring.
Rings::Growth Rings::strongest_growth(const Scale& scale, const Track& track) const noexcept {
  Growth strongest;
  surroundings_.for_each_line(scale, track, [&](const Measures& line, int looks) {
    const float odds = log_odds(line);
    if (strongest.looks == 0 || odds > strongest.log_odds) {
      strongest = {odds, looks};
    }
  });
  return strongest;
}

void Rings::judge(const Scale& scale,
                  Track& track,
                  std::int64_t now_sample,
                  EventSink& sink) noexcept {
  const float reach_hz =
      std::max(kSameRingRatio * track.frequency_hz,
               kSameRingBins * static_cast<float>(scale.spectrum.bin_width_hz()));
  Active* active = at(track.frequency_hz, reach_hz);
  Growth growth;
  if (track.age_hops % kLookEvery == 0) {
    growth = strongest_growth(scale, track);
    if (active != nullptr && active->ring.state == RingState::kFading &&
        growth.looks > active->fading_hops) {
      growth = {};  // it reaches back to what ended when the ring began to fade
    }
    // Looks through a long window repeat each other: there the same time holds less evidence.
    const float elapsed_s =
        static_cast<float>(kLookEvery * hop_s_) * std::min(1.0F, kFreshS / scale.window_s());
    const float gain = growth.looks != 0 ? std::max(growth.log_odds * elapsed_s, -kHardestBlow)
                                         : -kForget * elapsed_s;
    track.evidence = std::clamp(track.evidence + gain, 0.0F, kMostEvidence);
  }
  const bool is_new = active == nullptr && growth.looks != 0 && track.evidence >= kPromising &&
                      active_.size() < kMaxRings &&
                      !is_made_by_rings(track.frequency_hz, track.look(0).level_dbfs);
  if (is_new) {
    active = &active_.emplace_back();
    active->ring.id = next_id_++;
    set_frequency(*active, static_cast<double>(track.frequency_hz), scale.spectrum.bin_width_hz());
    active->ring.level_dbfs = active->ring.peak_dbfs =
        static_cast<double>(track.look(0).level_dbfs);
    active->ring.onset_sample = before(now_sample, growth.looks * hop_s_);
  }
  track.ring_id = active == nullptr ? 0 : active->ring.id;
  if (active == nullptr) {
    return;
  }
  lead_with(*active, scale, track);
  if (is_new) {
    refine(*active);
    change(*active, RingState::kBuilding, now_sample, sink);
  }
}

/// Takes `track` for the ring's line if it shows it better than the one so far.
void Rings::lead_with(Active& active, const Scale& scale, Track& track) noexcept {
  active.evidence = std::max(active.evidence, track.evidence);
  if (active.lead == nullptr || track.evidence > active.lead->evidence ||
      (track.look(0).is_peak() && !active.lead->look(0).is_peak())) {
    active.lead = &track;
    active.lead_scale = &scale;
  }
}

Rings::Active* Rings::at(float frequency_hz, float reach_hz) noexcept {
  Active* nearest = nullptr;
  auto best = static_cast<double>(reach_hz);
  for (Active& active : active_) {
    const double distance = std::abs(active.ring.frequency_hz - static_cast<double>(frequency_hz));
    if (distance <= best) {
      best = distance;
      nearest = &active;
    }
  }
  return nearest;
}

/// Whether a line there would be what the limiter makes of the rings that are flagged and loud.
bool Rings::is_made_by_rings(float frequency_hz, float level_dbfs) const noexcept {
  constexpr double kLoudDbfs = -30.0;  // below, no limiter works
  constexpr double kWeakerDb = 12.0;
  const auto frequency = static_cast<double>(frequency_hz);
  const auto level = static_cast<double>(level_dbfs);
  const auto is_over = [&](const Active& active, double least_dbfs) {
    return active.ring.flagged_sample != kNever && active.ring.level_dbfs >= least_dbfs;
  };
  return std::any_of(active_.begin(), active_.end(), [&](const Active& a) {
    if (!is_over(a, std::max(kLoudDbfs, level + kWeakerDb))) {
      return false;
    }
    return is_harmonic(frequency, a.ring.frequency_hz) ||
           std::any_of(active_.begin(), active_.end(), [&](const Active& b) {
             return &a != &b && is_over(b, level) &&
                    is_intermodulation(frequency, a.ring.frequency_hz, b.ring.frequency_hz);
           });
  });
}

void Rings::refine(Active& active) const noexcept {
  Ring& ring = active.ring;
  const TrackLine line = line_through(*active.lead_scale, *active.lead);
  if (ring.state == RingState::kFading) {
    ring.growth_db_per_s = line.now_db_per_s;
    return;  // on the way down the line sinks into programme: its frequency was known better before
  }
  // Up to the limiter the growth is refined; once the line bends there, the straight part stands.
  const bool grows_on = line.is_straight && line.growth_db_per_s > 0.5 * active.rise_db_per_s;
  if (ring.state == RingState::kBuilding || grows_on) {
    ring.growth_db_per_s = active.rise_db_per_s = line.growth_db_per_s;
  }
  const double moved_hz = std::abs(line.frequency_hz - ring.frequency_hz);
  const bool has_moved = moved_hz > 1.0 + 4.0 * (line.frequency_sd_hz + active.line_sd_hz);
  if (active.lead->look(0).is_peak() && (line.frequency_sd_hz < active.line_sd_hz || has_moved)) {
    set_frequency(active, line.frequency_hz, line.frequency_sd_hz);
  }
}

void Rings::set_frequency(Active& active, double frequency_hz, double line_sd_hz) noexcept {
  active.line_sd_hz = line_sd_hz;
  active.ring.frequency_hz = frequency_hz;
  active.ring.frequency_sd_hz =
      std::hypot(line_sd_hz, kLoopShiftHz, kLoopShiftRatio * frequency_hz);
}

/// Where the line of growth, drawn back, meets the level at which it was first seen.
std::int64_t Rings::onset_of(const Active& active, std::int64_t now_sample) const noexcept {
  const Track& track = *active.lead;
  const auto grown_db = static_cast<double>(track.look(0).level_dbfs - track.birth_level_dbfs);
  const double seen_s = track.age_hops * hop_s_;
  const double grown_s = std::clamp(grown_db / std::max(active.rise_db_per_s, 1.0), 0.0, seen_s);
  return before(now_sample, grown_s);
}

std::int64_t Rings::before(std::int64_t now_sample, double elapsed_s) const noexcept {
  return std::max<std::int64_t>(0, now_sample - std::llround(elapsed_s * sample_rate_hz_));
}

/// What grew has ended: the evidence of a ring that fades belongs to the past.
void Rings::forget_growth(std::span<Scale> scales, std::uint32_t ring_id) noexcept {
  for (Scale& scale : scales) {
    for (Track* track : scale.tracks.live()) {
      if (track->ring_id == ring_id) {
        track->evidence = 0.0F;
      }
    }
  }
}

void Rings::follow(Active& active, std::int64_t now_sample, EventSink& sink) noexcept {
  const bool is_seen = active.lead != nullptr && active.lead->look(0).is_peak();
  active.unseen_hops = is_seen ? 0 : active.unseen_hops + 1;
  if (active.unseen_hops * hop_s_ > static_cast<double>(kUnseenS)) {
    change(active, RingState::kGone, now_sample, sink);
  } else if (active.lead != nullptr) {
    advance_state(active, now_sample, sink);
  }
}

void Rings::advance_state(Active& active, std::int64_t now_sample, EventSink& sink) noexcept {
  Ring& ring = active.ring;
  ring.level_dbfs = static_cast<double>(active.lead->look(0).level_dbfs);
  ring.peak_dbfs = std::max(ring.peak_dbfs, ring.level_dbfs);
  ring.confidence = confidence_of(active.evidence);
  refine(active);
  const float now_db_per_s = growth_db_per_s(*active.lead_scale, *active.lead);
  switch (ring.state) {
    case RingState::kBuilding:
      if (active.lead->evidence >= kCertain && ring.level_dbfs >= kFaintDbfs) {
        ring.flagged_sample = now_sample;
        ring.onset_sample = onset_of(active, now_sample);
        change(active, RingState::kRinging, now_sample, sink);
      } else if (active.lead->evidence <= 0.0F) {
        change(active, RingState::kGone, now_sample, sink);
      }
      break;
    case RingState::kRinging:
      if (ring.level_dbfs < ring.peak_dbfs - static_cast<double>(kFadedDb) &&
          now_db_per_s < kFadeDbPerS) {
        ring.growth_db_per_s = static_cast<double>(now_db_per_s);
        change(active, RingState::kFading, now_sample, sink);
      }
      break;
    case RingState::kFading:
      ++active.fading_hops;
      // Growth that is proved anew is a ring of its own: in between the loop was under the brink.
      if (ring.level_dbfs < ring.peak_dbfs - static_cast<double>(kGoneDb) ||
          active.lead->evidence >= kPromising) {
        change(active, RingState::kGone, now_sample, sink);
      }
      break;
    case RingState::kGone:
      break;
  }
}

void Rings::change(Active& active,
                   RingState state,
                   std::int64_t now_sample,
                   EventSink& sink) noexcept {
  active.ring.state = state;
  active.ring.confidence = confidence_of(active.evidence);
  if (state == RingState::kGone) {
    active.ring.ended_sample = now_sample;
    active.ring.growth_db_per_s = active.rise_db_per_s;
  }
  sink.on_event({now_sample, active.ring});
}

}  // namespace brink::detector
