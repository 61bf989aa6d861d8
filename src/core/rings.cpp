#include "core/rings.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/rules.h"

namespace brink::core {

namespace {

constexpr float kDoubt = 0.0F;       // nats: log odds that a look needs before it counts for a ring
constexpr float kCertain = 0.125F;   // nat-seconds: from here it is `ringing`
constexpr float kPromising = 0.04F;  // nat-seconds: from here it is `building`
constexpr float kMostEvidence = 3.0F;
constexpr float kFreshS = 0.171F;     // a window up to this long brings fresh evidence all the time
constexpr float kHardestBlow = 0.2F;  // nat-seconds that one bad look can take at most
constexpr float kForget = 2.0F;       // nat-seconds lost per second while nothing grows
constexpr int kLookEvery = 3;         // hops: neighbouring looks share most of their samples

constexpr double kFaintDbfs = -70.0;  // a ring below is `building` at most: nobody hears it yet

constexpr std::size_t kMaxRings = 64;
constexpr float kSameRingRatio = 0.003F;  // 5 cents; a ring is known far better than that
constexpr float kSameRingBins = 0.75F;
constexpr float kUnseenS = 0.4F;  // a syllable may cover a ring for as long
constexpr float kFadedDb = 3.0F;  // below its highest level: it fades
constexpr float kFadeDbPerS = -6.0F;
constexpr float kGoneDb = 40.0F;    // below its highest level: nobody hears it
constexpr float kLineDb = 15.0F;    // a line over more than this reaches down into programme
constexpr float kStraight = 0.98F;  // newest growth over that of the line: less is a bend
constexpr int kSlopeLooks = 12;     // for growth shown now

float slope_per_hop(const Scale& scale,
                    const Track& track,
                    int looks,
                    float Track::Look::*value,
                    int end_hops = 0) noexcept {
  const std::span<const float> weights = scale.slope.weights(looks);
  const float origin = track.look(end_hops).*value;
  float slope = 0.0F;
  for (int back = 0; back < looks; ++back) {
    slope +=
        weights[static_cast<std::size_t>(back)] * (track.look(end_hops + back).*value - origin);
  }
  return slope;
}

int slope_looks(const Track& track, int wanted) noexcept {
  return std::clamp(wanted, 2, std::min(track.history_hops(), kMaxSlopeLooks));
}

/// Standard deviation of one look's phase in noise `prominence_db` below the tone: half of that
/// noise lies across the tone.
float phase_noise_rad(float prominence_db) noexcept {
  return std::pow(10.0F, -prominence_db / 20.0F) / std::numbers::sqrt2_v<float>;
}

/// The same of its level: the other half lies along the tone.
float level_noise_db(float prominence_db) noexcept {
  constexpr float kDbPerNeper = 20.0F / std::numbers::ln10_v<float>;
  return kDbPerNeper * phase_noise_rad(prominence_db);
}

/// Slope, dB per hop, of the growth that led to the level which the track holds now, when it stands
/// out over `line_per_hop`, the line up to now; else that. The windows round the corner at a
/// limiter off, a long one over 0.17 s: from the hold one goes back until the line gets no steeper.
float straight_per_hop(const Scale& scale, const Track& track, float line_per_hop) noexcept {
  constexpr int kLooks = 8;
  constexpr float kSteeper = 1.01F;  // less is noise; going on would look for the largest of it
  constexpr float kSure = 4.0F;      // standard deviations
  const auto slope_at = [&](int end) {
    return slope_per_hop(scale, track, kLooks, &Track::Look::level_dbfs, end);
  };
  const auto is_line_at = [&](int end) {
    return end + kLooks <= track.history_hops() && track.look(end + kLooks - 1).is_peak();
  };
  int end = held_hops(track);
  if (!is_line_at(end)) {
    return line_per_hop;
  }
  float steepest = slope_at(end);
  while (is_line_at(end + 1) && slope_at(end + 1) > kSteeper * steepest) {
    steepest = slope_at(++end);
  }
  const float noise_db = level_noise_db(track.look(end + kLooks - 1).prominence_db);
  if (steepest - line_per_hop < kSure * noise_db * scale.slope.deviation(kLooks)) {
    return line_per_hop;
  }
  const int looks = std::clamp(static_cast<int>(kLineDb / steepest), 4, kLooks);
  return slope_per_hop(scale, track, looks, &Track::Look::level_dbfs, end);
}

/// Share of rings that are real, by the evidence they reached; measured, see docs/validation.md.
double confidence_of(float evidence) noexcept {
  struct Point {
    float evidence;
    double share;
  };

  constexpr std::array<Point, 8> kMeasured{{{0.0F, 0.3},
                                            {0.05F, 0.4},
                                            {0.12F, 0.5},
                                            {0.13F, 0.75},
                                            {0.35F, 0.85},
                                            {1.0F, 0.88},
                                            {1.8F, 0.93},
                                            {2.5F, 0.99}}};
  for (std::size_t i = 1; i < kMeasured.size(); ++i) {
    if (evidence < kMeasured[i].evidence) {
      const Point& low = kMeasured[i - 1];
      const Point& high = kMeasured[i];
      const float share = (evidence - low.evidence) / (high.evidence - low.evidence);
      return low.share + static_cast<double>(share) * (high.share - low.share);
    }
  }
  return kMeasured.back().share;
}

}  // namespace

float growth_db_per_s(const Scale& scale, const Track& track) noexcept {
  if (track.history_hops() < 2) {
    return 0.0F;
  }
  const int looks = slope_looks(track, kSlopeLooks);
  float per_hop = slope_per_hop(scale, track, looks, &Track::Look::level_dbfs);
  // A fast one stands clear of programme only in its newest looks.
  const int fewer = slope_looks(track, static_cast<int>(kLineDb / std::max(per_hop, 1e-3F)));
  if (fewer < looks) {
    per_hop = slope_per_hop(scale, track, fewer, &Track::Look::level_dbfs);
  }
  return per_hop / static_cast<float>(scale.spectrum.hop_s());
}

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
  const auto hop_s = static_cast<float>(scale.spectrum.hop_s());
  Growth growth;
  if (track.age_hops % kLookEvery == 0) {
    growth = strongest_growth(scale, track);
    // Looks through a long window repeat each other: there the same time holds less evidence.
    const float elapsed_s =
        static_cast<float>(kLookEvery) * hop_s * std::min(1.0F, kFreshS / scale.window_s());
    const float gain = growth.looks != 0
                           ? std::max((growth.log_odds - kDoubt) * elapsed_s, -kHardestBlow)
                           : -kForget * elapsed_s;
    track.evidence = std::clamp(track.evidence + gain, 0.0F, kMostEvidence);
  }
  const float reach_hz =
      std::max(kSameRingRatio * track.frequency_hz,
               kSameRingBins * static_cast<float>(scale.spectrum.bin_width_hz()));
  Active* active = at(track.frequency_hz, reach_hz);
  const bool is_new = active == nullptr && growth.looks != 0 && track.evidence >= kPromising &&
                      active_.size() < kMaxRings &&
                      !is_made_by_rings(track.frequency_hz, track.look(0).level_dbfs);
  if (is_new) {
    active = &active_.emplace_back();
    active->ring.id = next_id_++;
    active->ring.frequency_hz = static_cast<double>(track.frequency_hz);
    active->ring.frequency_sd_hz = scale.spectrum.bin_width_hz();
    active->ring.level_dbfs = active->ring.peak_dbfs =
        static_cast<double>(track.look(0).level_dbfs);
    const double grown_s = static_cast<double>(static_cast<float>(growth.looks) * hop_s);
    active->ring.onset_sample =
        std::max<std::int64_t>(0, now_sample - std::llround(grown_s * sample_rate_hz_));
  }
  track.ring_id = active == nullptr ? 0 : active->ring.id;
  if (active == nullptr) {
    return;
  }
  active->evidence = std::max(active->evidence, track.evidence);
  if (active->lead == nullptr || track.evidence > active->lead->evidence ||
      (track.look(0).is_peak() && !active->lead->look(0).is_peak())) {
    active->lead = &track;
    active->lead_scale = &scale;
  }
  if (is_new) {
    measure_line(*active);
    change(*active, RingState::kBuilding, now_sample, sink);
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

/// A saturated ring makes harmonics; two make intermodulation, of odd order where the limiter is
/// symmetric: 2 a - b and 3 a - 2 b. No cut belongs there.
bool Rings::is_made_by_rings(float frequency_hz, float level_dbfs) const noexcept {
  constexpr double kWeakerDb = 12.0;
  constexpr double kLoud = -30.0;  // dBFS: below, no limiter works
  constexpr double kExact = 0.0015;
  const auto f = static_cast<double>(frequency_hz);
  const double tolerance = std::max(2.0, kExact * f);
  for (const Active& a : active_) {
    if (a.ring.flagged_sample == kNever || a.ring.level_dbfs < kLoud ||
        a.ring.level_dbfs < static_cast<double>(level_dbfs) + kWeakerDb) {
      continue;
    }
    const double multiple = std::round(f / a.ring.frequency_hz);
    if (multiple >= 2.0 && multiple <= 9.0 &&
        std::abs(multiple * a.ring.frequency_hz - f) < tolerance) {
      return true;
    }
    for (const Active& b : active_) {
      if (&a == &b || b.ring.flagged_sample == kNever ||
          b.ring.level_dbfs < static_cast<double>(level_dbfs)) {
        continue;
      }
      const double third = 2.0 * a.ring.frequency_hz - b.ring.frequency_hz;
      const double sum = 2.0 * a.ring.frequency_hz + b.ring.frequency_hz;
      const double fifth = 3.0 * a.ring.frequency_hz - 2.0 * b.ring.frequency_hz;
      if (std::abs(std::abs(third) - f) < tolerance || std::abs(sum - f) < tolerance ||
          std::abs(std::abs(fifth) - f) < tolerance) {
        return true;
      }
    }
  }
  return false;
}

void Rings::measure_line(Active& active) const noexcept {
  const Track& track = *active.lead;
  const Scale& scale = *active.lead_scale;
  const auto hop_s = static_cast<float>(scale.spectrum.hop_s());
  const float now_db_per_s = growth_db_per_s(scale, track);
  const float per_hop = std::max(std::abs(now_db_per_s) * hop_s, 1e-3F);
  const int looks = slope_looks(track, static_cast<int>(kLineDb / per_hop));
  if (active.ring.state == RingState::kFading) {
    active.ring.growth_db_per_s = static_cast<double>(now_db_per_s);
    return;  // on the way down the line sinks into programme: its frequency was known better before
  }
  // Up to the limiter the growth is refined; where the newest looks rise less than the line, it has
  // begun to bend there, and the straight part stands.
  const float line = slope_per_hop(scale, track, looks, &Track::Look::level_dbfs);
  const int newest = std::clamp(looks / 2, 2, kSlopeLooks);
  const bool is_straight =
      slope_per_hop(scale, track, newest, &Track::Look::level_dbfs) >= kStraight * line &&
      static_cast<double>(line / hop_s) > 0.5 * active.rise_db_per_s;
  if (active.ring.state == RingState::kBuilding || is_straight) {
    active.rise_db_per_s =
        static_cast<double>((is_straight ? line : straight_per_hop(scale, track, line)) / hop_s);
    active.ring.growth_db_per_s = active.rise_db_per_s;
  }
  if (!track.look(0).is_peak()) {
    return;
  }
  const float per_turn = 1.0F / (2.0F * std::numbers::pi_v<float> * hop_s);
  const float noise_rad = phase_noise_rad(track.look(0).prominence_db);
  const auto sd_hz = static_cast<double>(noise_rad * scale.slope.deviation(looks) * per_turn);
  const auto frequency_hz = static_cast<double>(
      track.reference_hz + slope_per_hop(scale, track, looks, &Track::Look::phase) * per_turn);
  const double moved_hz = std::abs(frequency_hz - active.ring.frequency_hz);
  const bool has_moved = moved_hz > 1.0 + 4.0 * (sd_hz + active.ring.frequency_sd_hz);
  if (sd_hz < active.ring.frequency_sd_hz || has_moved) {
    active.ring.frequency_hz = frequency_hz;
    active.ring.frequency_sd_hz = sd_hz;
  }
}

/// Where the line of growth, drawn back, meets the level at which it was first seen.
std::int64_t Rings::onset_of(const Active& active, std::int64_t now_sample) const noexcept {
  const Track& track = *active.lead;
  const double grown_db = static_cast<double>(track.look(0).level_dbfs - track.birth_level_dbfs);
  const double seen_s = track.age_hops * hop_s_;
  const double grown_s = std::clamp(grown_db / std::max(active.rise_db_per_s, 1.0), 0.0, seen_s);
  return std::max<std::int64_t>(0, now_sample - std::llround(grown_s * sample_rate_hz_));
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
  Ring& ring = active.ring;
  if (active.lead == nullptr || !active.lead->look(0).is_peak()) {
    if (static_cast<double>(++active.unseen_hops) * hop_s_ > static_cast<double>(kUnseenS)) {
      change(active, RingState::kGone, now_sample, sink);
      return;
    }
  } else {
    active.unseen_hops = 0;
  }
  if (active.lead == nullptr) {
    return;
  }
  ring.level_dbfs = static_cast<double>(active.lead->look(0).level_dbfs);
  ring.peak_dbfs = std::max(ring.peak_dbfs, ring.level_dbfs);
  ring.confidence = confidence_of(active.evidence);
  measure_line(active);
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

}  // namespace brink::core
