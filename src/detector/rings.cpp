#include "detector/rings.h"

#include <algorithm>
#include <cmath>

#include "detector/confidence.h"
#include "detector/limiter_products.h"
#include "detector/rules.h"
#include "detector/track_line.h"

namespace brink::detector {

namespace {

constexpr float kCertain = 0.24F;      // nat-seconds: from here it is `ringing`
constexpr float kBorneOut = 0.35F;     // nat-seconds: a short ring that ends with less is withdrawn
constexpr float kWellBorneOut = 1.0F;  // the same for one that sounded for kTimeToShowS
constexpr double kTimeToShowS = 1.0;   // after its flag
constexpr float kKnownPlace = 0.7F;    // times kCertain, where the loop has rung before
constexpr float kWaryOfProgramme = 3.0F;  // times kCertain, where a ring was withdrawn
constexpr float kPromising = 0.04F;       // nat-seconds: from here it is `building`
constexpr float kMostEvidence = 3.0F;
constexpr float kFreshS = 0.171F;     // a window up to this long brings fresh evidence all the time
constexpr float kHardestBlow = 0.2F;  // nat-seconds that one bad look can take at most
constexpr float kFastDbPerS = 75.0F;  // faster growth counts more, in proportion
constexpr float kMostHaste = 4.0F;    // times as much at most
constexpr float kForget = 2.0F;       // nat-seconds lost per second while nothing grows
constexpr float kMostStandingOdds = 2.0F;  // a line that stands harms nobody: it can wait
constexpr float kLeastGrownDb =
    2.0F;  // over its settled level: hum and held notes have that at once
constexpr float kSinks =
    -1.0F;  // dB/s: a line that sinks is not flagged now, it may be what is left of a note
constexpr float kStands = -0.5F;  // log odds of standing: from here the loop still holds the ring
constexpr int kLookEvery = 3;     // hops: neighbouring looks share most of their samples

/// A loop's tone shifts by about so much between its growth and its limiter, and beside another:
/// fitted to the truth of 61 simulated rings (docs/log.md). Noise blurs a good line far less.
constexpr double kLoopShiftHz = 0.1;
constexpr double kLoopShiftRatio = 3e-5;

constexpr double kFaintDbfs = -70.0;  // a ring below is `building` at most: nobody hears it yet

constexpr std::size_t kMaxRings = 64;
constexpr float kSameRingRatio = 0.003F;  // 5 cents; a ring is known far better than that
constexpr float kSameRingBins = 0.75F;
constexpr double kLoudDbfs = -30.0;  // below, no limiter works
constexpr double kGlideHz = 20.0;    // a louder ring within so much leaves no room for a second
constexpr double kGlideRatio = 0.01;
constexpr double kGlideAlone = 2.0;  // times as far when no other line there can be the ring
constexpr double kGlideLouderDb = 6.0;
constexpr float kUnseenS = 0.4F;       // a syllable may cover a ring for as long
constexpr float kLeadLouderDb = 6.0F;  // a gliding ring is where it is loudest
constexpr float kFadedDb = 6.0F;       // below its highest level: it fades
constexpr float kFadeDbPerS = -12.0F;
constexpr float kGoneDb = 40.0F;  // below its highest level: nobody hears it

}  // namespace

Rings::Rings(double sample_rate_hz, double sure)
    : sample_rate_hz_{sample_rate_hz}, certain_{std::max(kCertain, evidence_of(sure))} {
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
  standing_.gather(scales);
  for (Active& active : active_) {
    active.last_lead = active.lead != nullptr ? active.lead->id : active.last_lead;
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
    const RingState now = active.ring.state;
    if (now != before && (now == RingState::kFading || now == RingState::kWithdrawn)) {
      forget_growth(scales, active.ring.id);
    }
  }
  std::erase_if(active_, [](const Active& active) { return is_over(active.ring.state); });
}

void Rings::finish(std::int64_t now_sample, EventSink& sink) noexcept {
  for (Active& active : active_) {
    end(active, now_sample, sink);
  }
  active_.clear();
}

/// The line that speaks loudest for a ring.
Rings::Growth Rings::strongest_growth(const Scale& scale, const Track& track) const noexcept {
  Growth strongest;
  surroundings_.for_each_line(scale, track, [&](const Measures& line, int looks) {
    const float odds = log_odds(line);
    if (strongest.looks == 0 || odds > strongest.log_odds) {
      strongest = {odds, looks, line.rise_db / line.span_s};
    }
  });
  return strongest;
}

void Rings::judge(const Scale& scale,
                  Track& track,
                  std::int64_t now_sample,
                  EventSink& sink) noexcept {
  Active* active = led_by(scale, track);
  if (active == nullptr) {
    active = at(scale, track);
  }
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
    auto standing = standing_.line_of(scale, track);
    if (active != nullptr && active->ring.state == RingState::kFading && standing &&
        standing->looks > active->fading_hops) {
      standing.reset();  // so does this
    }
    track.standing = standing ? log_odds(*standing) : kNothingStands;
    float odds = growth.looks != 0 ? growth.log_odds : -kForget;
    // What has its level from the start on is hum or a held note.
    const bool has_grown = track.look(0).level_dbfs - track.settled_level_dbfs >= kLeastGrownDb;
    if (track.standing > std::max(odds, 0.0F) && has_grown && !is_under_loud_ring(track) &&
        !is_made_by_rings(track.frequency_hz, track.look(0).level_dbfs)) {
      odds = std::min(track.standing, kMostStandingOdds);
      growth.looks = std::max(growth.looks, standing->looks);
    }
    // A fast ring is at its limiter after a few looks, so each of them has to count more.
    const float haste =
        odds > 0.0F ? std::clamp(growth.db_per_s / kFastDbPerS, 1.0F, kMostHaste) : 1.0F;
    const float gain = std::max(odds * elapsed_s * haste, -kHardestBlow);
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
  const auto is_better = [&](const Track& lead) {
    const Track::Look& new_look = track.look(0);
    const Track::Look& look = lead.look(0);
    const float louder_db = new_look.level_dbfs - look.level_dbfs;
    const bool has_glided = active.ring.flagged_sample != kNever &&
                            new_look.is_peak() == look.is_peak() &&
                            std::abs(louder_db) > kLeadLouderDb;
    return has_glided ? louder_db > 0.0F
                      : track.evidence > lead.evidence || (new_look.is_peak() && !look.is_peak());
  };
  if (active.lead == nullptr || is_better(*active.lead)) {
    active.lead = &track;
    active.lead_scale = &scale;
  }
}

/// The sounding ring that `track` showed last: it stays that ring's, wherever it glides.
Rings::Active* Rings::led_by(const Scale& scale, const Track& track) noexcept {
  const auto found = std::find_if(active_.begin(), active_.end(), [&](const Active& active) {
    return active.last_lead == track.id && active.lead_scale == &scale;
  });
  return found == active_.end() ? nullptr : &*found;
}

/// The sounding ring whose line `track` is. A flagged one may glide, and what lies beside it and is
/// no louder by much is its own skirt, its beat or the place that it glides to. One tone makes one
/// peak in each window: where a ring has none now, what stands further off is the ring, too.
/// `other_than` is left out.
Rings::Active* Rings::at(const Scale& scale,
                         const Track& track,
                         const Active* other_than) noexcept {
  const auto frequency = static_cast<double>(track.frequency_hz);
  const auto level = static_cast<double>(track.look(0).level_dbfs);
  const double reach_hz =
      std::max(static_cast<double>(kSameRingRatio) * frequency,
               static_cast<double>(kSameRingBins) * scale.spectrum.bin_width_hz());
  Active* nearest = nullptr;
  double best = 1.0;
  for (Active& active : active_) {
    if (&active == other_than) {
      continue;
    }
    const Ring& ring = active.ring;
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
      nearest = &active;
    }
  }
  return nearest;
}

/// Whether the ring shows in this scale.
bool Rings::has_peak(const Scale& scale, std::uint32_t ring_id) noexcept {
  const auto tracks = scale.tracks.live();
  return std::any_of(tracks.begin(), tracks.end(), [&](const Track* track) {
    return track->ring_id == ring_id && track->look(0).is_peak();
  });
}

/// Whether a loud ring elsewhere keeps a limiter busy: what that makes of it and of the programme
/// stands too.
bool Rings::is_under_loud_ring(const Track& track) const noexcept {
  constexpr double kWeakerDb = 12.0;
  const auto level = static_cast<double>(track.look(0).level_dbfs);
  return std::any_of(active_.begin(), active_.end(), [&](const Active& active) {
    return active.ring.flagged_sample != kNever && active.ring.id != track.ring_id &&
           active.ring.level_dbfs >= std::max(kLoudDbfs, level + kWeakerDb);
  });
}

/// Whether a ring at its limiter is so much louder that nobody can tell this one from what the
/// limiter makes. A true ring rises on and is flagged a little later.
bool Rings::is_far_under_loud_ring(const Ring& ring) const noexcept {
  constexpr double kFarDb = 40.0;
  return std::any_of(active_.begin(), active_.end(), [&](const Active& active) {
    return active.ring.flagged_sample != kNever && active.ring.id != ring.id &&
           active.ring.level_dbfs >= std::max(kLoudDbfs, ring.level_dbfs + kFarDb);
  });
}

/// Whether a line there would be what the limiter makes of the rings that are flagged and loud.
bool Rings::is_made_by_rings(float frequency_hz, float level_dbfs) const noexcept {
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
             // Its level is enough: the one that grows beside it may not be certain yet.
             return &a != &b && b.ring.level_dbfs >= level &&
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
  // What rings on after a tone has ended is a place of the room beside it.
  const bool falls = line.now_db_per_s < static_cast<double>(kFadeDbPerS);
  if (active.lead->look(0).is_peak() && !falls &&
      (line.frequency_sd_hz < active.line_sd_hz || has_moved)) {
    set_frequency(active, line.frequency_hz, line.frequency_sd_hz);
  }
}

void Rings::set_frequency(Active& active, double frequency_hz, double line_sd_hz) noexcept {
  active.line_sd_hz = line_sd_hz;
  active.ring.frequency_hz = frequency_hz;
  if (active.ring.flagged_sample != kNever) {
    active.ring.frequency_low_hz = std::min(active.ring.frequency_low_hz, frequency_hz);
    active.ring.frequency_high_hz = std::max(active.ring.frequency_high_hz, frequency_hz);
  } else {
    active.ring.frequency_low_hz = active.ring.frequency_high_hz = frequency_hz;
  }
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
    end(active, now_sample, sink);
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
      if (active.lead->evidence >= certain_at(active) && ring.level_dbfs >= kFaintDbfs &&
          now_db_per_s >= kSinks && !is_far_under_loud_ring(ring) &&
          !is_made_by_rings(static_cast<float>(ring.frequency_hz),
                            static_cast<float>(ring.level_dbfs))) {
        // What was apart at first may have glided together.
        const Active* const same = at(*active.lead_scale, *active.lead, &active);
        if (same != nullptr && same->ring.state == RingState::kRinging) {
          end(active, now_sample, sink);
        } else {
          flag(active, now_sample, sink);
        }
      } else if (active.lead->evidence <= 0.0F) {
        end(active, now_sample, sink);
      }
      break;
    case RingState::kRinging:
      if (ring.level_dbfs < ring.peak_dbfs - static_cast<double>(kFadedDb) &&
          now_db_per_s < kFadeDbPerS && active.lead->standing < kStands) {
        if (!is_borne_out(active, now_sample)) {
          end(active, now_sample, sink);
          break;
        }
        ring.growth_db_per_s = static_cast<double>(now_db_per_s);
        change(active, RingState::kFading, now_sample, sink);
      }
      break;
    case RingState::kFading:
      ++active.fading_hops;
      if (active.lead->standing >= kStands) {
        // The loop took it down no further: it stands at the brink, a little lower than before.
        active.fading_hops = 0;
        change(active, RingState::kRinging, now_sample, sink);
        break;
      }
      // Growth that is proved anew is a ring of its own: in between the loop was under the brink.
      if (ring.level_dbfs < ring.peak_dbfs - static_cast<double>(kGoneDb) ||
          active.lead->evidence >= kPromising) {
        end(active, now_sample, sink);
      }
      break;
    case RingState::kGone:
    case RingState::kWithdrawn:
      break;
  }
}

/// The evidence that makes it certain: less where the loop has rung before, more where programme
/// was taken for a ring before.
float Rings::certain_at(const Active& active) noexcept {
  const Place* place = places_.at(active.ring.frequency_hz);
  if (place == nullptr) {
    return certain_;
  }
  return 2 * place->withdrawn_times > place->times ? kWaryOfProgramme * certain_
         : place->withdrawn_times == 0             ? kKnownPlace * certain_
                                                   : certain_;
}

void Rings::flag(Active& active, std::int64_t now_sample, EventSink& sink) noexcept {
  Ring& ring = active.ring;
  ring.flagged_sample = now_sample;
  ring.onset_sample = onset_of(active, now_sample);
  ring.frequency_low_hz = ring.frequency_high_hz = ring.frequency_hz;
  Place& place = places_.visit(ring.frequency_hz, ring.frequency_sd_hz, now_sample);
  place.growth_db_per_s = ring.growth_db_per_s;
  ring.place = place.number;
  change(active, RingState::kRinging, now_sample, sink);
}

/// Whether what followed its flag spoke for a ring. One that is cut at once has no time for more.
bool Rings::is_borne_out(const Active& active, std::int64_t now_sample) const noexcept {
  const double since_s =
      static_cast<double>(now_sample - active.ring.flagged_sample) / sample_rate_hz_;
  const auto share = static_cast<float>(std::clamp(since_s / kTimeToShowS, 0.0, 1.0));
  return active.evidence >= kBorneOut + share * (kWellBorneOut - kBorneOut);
}

/// It is over; withdrawn when it was flagged and what followed did not bear it out.
void Rings::end(Active& active, std::int64_t now_sample, EventSink& sink) noexcept {
  const bool was_flagged = active.ring.flagged_sample != kNever;
  const bool holds = !was_flagged || is_borne_out(active, now_sample);
  if (Place* place = places_.at(active.ring.frequency_hz); was_flagged && place != nullptr) {
    place->withdrawn_times += holds ? 0 : 1;
    place->last_seen_sample = now_sample;
  }
  change(active, holds ? RingState::kGone : RingState::kWithdrawn, now_sample, sink);
}

void Rings::change(Active& active,
                   RingState state,
                   std::int64_t now_sample,
                   EventSink& sink) noexcept {
  active.ring.state = state;
  active.ring.confidence = confidence_of(active.evidence);
  if (is_over(state)) {
    active.ring.ended_sample = now_sample;
    active.ring.growth_db_per_s = active.rise_db_per_s;
  }
  sink.on_event({now_sample, active.ring});
}

}  // namespace brink::detector
