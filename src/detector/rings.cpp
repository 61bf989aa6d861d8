#include "detector/rings.h"

#include <algorithm>
#include <cmath>

#include "detector/confidence.h"
#include "detector/track_line.h"

namespace brink::detector {

namespace {

constexpr float kDoubt = 1.0F;  // nat-seconds: a ring withdrawn with less makes its place doubtful
constexpr float kPromising = 0.04F;  // nat-seconds: from here it is `building`
constexpr float kSinks =
    -1.0F;  // dB/s: a line that sinks is not flagged now, it may be what is left of a note
constexpr float kStands = -0.5F;  // log odds of standing: from here the loop still holds the ring

/// A loop's tone shifts by about so much between its growth and its limiter, and beside another:
/// fitted to the truth of 61 simulated rings (docs/log.md). Noise blurs a good line far less.
constexpr double kLoopShiftHz = 0.1;
constexpr double kLoopShiftRatio = 3e-5;

constexpr double kFaintDbfs = -70.0;    // nobody hears a ring below yet, so it can wait:
constexpr float kFaintEvidence = 1.0F;  // nat-seconds: from here it is `ringing` even there

constexpr float kUnseenS = 0.4F;       // a syllable may cover a ring for as long
constexpr float kLeadLouderDb = 6.0F;  // a gliding ring is where it is loudest
constexpr float kFadedDb = 6.0F;       // below its highest level: it fades
constexpr float kFadeDbPerS = -12.0F;
constexpr float kGoneDb = 40.0F;  // below its highest level: nobody hears it

}  // namespace

Rings::Rings(double sample_rate_hz, double sure)
    : sample_rate_hz_{sample_rate_hz}, certainty_{sure} {}

void Rings::advance(Scales& scales, std::int64_t now_sample, EventSink& sink) noexcept {
  hop_s_ = scales.all().front().spectrum.hop_s();
  certainty_.hear(scales, rings_.any_flagged());
  evidence_.gather(scales);
  for (SoundingRing& sounding : rings_) {
    sounding.last_lead = sounding.lead != nullptr ? sounding.lead->id : sounding.last_lead;
    sounding.lead = nullptr;
  }
  for (Scale& scale : scales.all()) {
    for (Track* track : scale.tracks.live()) {
      judge(scale, *track, now_sample, sink);
    }
  }
  for (SoundingRing& sounding : rings_) {
    const RingState before = sounding.ring.state;
    follow(sounding, now_sample, sink);
    const RingState now = sounding.ring.state;
    if (now != before && (now == RingState::kFading || now == RingState::kWithdrawn)) {
      forget_growth(scales, sounding.ring.id);
    }
  }
  rings_.drop_those_over();
}

void Rings::finish(std::int64_t now_sample, EventSink& sink) noexcept {
  for (SoundingRing& sounding : rings_) {
    end(sounding, now_sample, sink);
  }
  rings_.clear();
}

void Rings::judge(const Scale& scale,
                  Track& track,
                  std::int64_t now_sample,
                  EventSink& sink) noexcept {
  SoundingRing* sounding = rings_.led_by(scale, track);
  if (sounding == nullptr) {
    sounding = rings_.at(scale, track);
  }
  const int looks = evidence_.add_look(scale, track, sounding, rings_);
  bool is_new = sounding == nullptr && looks != 0 && track.evidence >= kPromising &&
                !rings_.is_product(track.frequency_hz, track.look(0).level_dbfs);
  if (is_new) {
    sounding = rings_.add();
    is_new = sounding != nullptr;
  }
  if (is_new) {
    sounding->ring.id = next_id_++;
    set_frequency(
        *sounding, static_cast<double>(track.frequency_hz), scale.spectrum.bin_width_hz());
    sounding->ring.level_dbfs = sounding->ring.peak_dbfs =
        static_cast<double>(track.look(0).level_dbfs);
    sounding->ring.onset_sample = before(now_sample, looks * hop_s_);
  }
  track.ring_id = sounding == nullptr ? 0 : sounding->ring.id;
  if (sounding == nullptr) {
    return;
  }
  lead_with(*sounding, scale, track);
  if (is_new) {
    refine(*sounding);
    change(*sounding, RingState::kBuilding, now_sample, sink);
  }
}

/// Takes `track` for the ring's line if it shows it better than the one so far.
void Rings::lead_with(SoundingRing& sounding, const Scale& scale, Track& track) noexcept {
  sounding.evidence = std::max(sounding.evidence, track.evidence);
  const auto is_better = [&](const Track& lead) {
    const Track::Look& new_look = track.look(0);
    const Track::Look& look = lead.look(0);
    const float louder_db = new_look.level_dbfs - look.level_dbfs;
    const bool has_glided = sounding.ring.flagged_sample != kNever &&
                            new_look.is_peak() == look.is_peak() &&
                            std::abs(louder_db) > kLeadLouderDb;
    return has_glided ? louder_db > 0.0F
                      : track.evidence > lead.evidence || (new_look.is_peak() && !look.is_peak());
  };
  if (sounding.lead == nullptr || is_better(*sounding.lead)) {
    sounding.lead = &track;
    sounding.lead_scale = &scale;
  }
}

void Rings::refine(SoundingRing& sounding) const noexcept {
  Ring& ring = sounding.ring;
  const TrackLine line = line_through(*sounding.lead_scale, *sounding.lead);
  if (ring.state == RingState::kFading) {
    ring.growth_db_per_s = line.now_db_per_s;
    return;  // on the way down the line sinks into programme: its frequency was known better before
  }
  // Up to the limiter the growth is refined; once the line bends there, the straight part stands.
  const bool grows_on = line.is_straight && line.growth_db_per_s > 0.5 * sounding.rise_db_per_s;
  if (ring.state == RingState::kBuilding || grows_on) {
    ring.growth_db_per_s = sounding.rise_db_per_s = line.growth_db_per_s;
  }
  const double moved_hz = std::abs(line.frequency_hz - ring.frequency_hz);
  const bool has_moved = moved_hz > 1.0 + 4.0 * (line.frequency_sd_hz + sounding.line_sd_hz);
  // What rings on after a tone has ended is a place of the room beside it.
  const bool falls = line.now_db_per_s < static_cast<double>(kFadeDbPerS);
  if (sounding.lead->look(0).is_peak() && !falls &&
      (line.frequency_sd_hz < sounding.line_sd_hz || has_moved)) {
    set_frequency(sounding, line.frequency_hz, line.frequency_sd_hz);
  }
}

void Rings::set_frequency(SoundingRing& sounding, double frequency_hz, double line_sd_hz) noexcept {
  sounding.line_sd_hz = line_sd_hz;
  sounding.ring.frequency_hz = frequency_hz;
  if (sounding.ring.flagged_sample != kNever) {
    sounding.ring.frequency_low_hz = std::min(sounding.ring.frequency_low_hz, frequency_hz);
    sounding.ring.frequency_high_hz = std::max(sounding.ring.frequency_high_hz, frequency_hz);
  } else {
    sounding.ring.frequency_low_hz = sounding.ring.frequency_high_hz = frequency_hz;
  }
  sounding.ring.frequency_sd_hz =
      std::hypot(line_sd_hz, kLoopShiftHz, kLoopShiftRatio * frequency_hz);
}

/// Where the line of growth, drawn back, meets the level at which it was first seen.
std::int64_t Rings::onset_of(const SoundingRing& sounding, std::int64_t now_sample) const noexcept {
  const Track& track = *sounding.lead;
  const auto grown_db = static_cast<double>(track.look(0).level_dbfs - track.birth_level_dbfs);
  const double seen_s = track.age_hops * hop_s_;
  const double grown_s = std::clamp(grown_db / std::max(sounding.rise_db_per_s, 1.0), 0.0, seen_s);
  return before(now_sample, grown_s);
}

std::int64_t Rings::before(std::int64_t now_sample, double elapsed_s) const noexcept {
  return std::max<std::int64_t>(0, now_sample - std::llround(elapsed_s * sample_rate_hz_));
}

/// What grew has ended: the evidence of a ring that fades belongs to the past.
void Rings::forget_growth(Scales& scales, std::uint32_t ring_id) noexcept {
  for (Scale& scale : scales.all()) {
    for (Track* track : scale.tracks.live()) {
      if (track->ring_id == ring_id) {
        track->evidence = 0.0F;
      }
    }
  }
}

void Rings::follow(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept {
  const bool is_seen = sounding.lead != nullptr && sounding.lead->look(0).is_peak();
  sounding.unseen_hops = is_seen ? 0 : sounding.unseen_hops + 1;
  if (sounding.unseen_hops * hop_s_ > static_cast<double>(kUnseenS)) {
    end(sounding, now_sample, sink);
  } else if (sounding.lead != nullptr) {
    advance_state(sounding, now_sample, sink);
  }
}

void Rings::advance_state(SoundingRing& sounding,
                          std::int64_t now_sample,
                          EventSink& sink) noexcept {
  Ring& ring = sounding.ring;
  ring.level_dbfs = static_cast<double>(sounding.lead->look(0).level_dbfs);
  ring.peak_dbfs = std::max(ring.peak_dbfs, ring.level_dbfs);
  ring.confidence = confidence_of(sounding.evidence);
  refine(sounding);
  const float now_db_per_s = growth_db_per_s(*sounding.lead_scale, *sounding.lead);
  switch (ring.state) {
    case RingState::kBuilding:
      follow_building(sounding, now_db_per_s, now_sample, sink);
      break;
    case RingState::kRinging:
      follow_ringing(sounding, now_db_per_s, now_sample, sink);
      break;
    case RingState::kFading:
      follow_fading(sounding, now_sample, sink);
      break;
    case RingState::kGone:
    case RingState::kWithdrawn:
      break;
  }
}

void Rings::follow_building(SoundingRing& sounding,
                            float now_db_per_s,
                            std::int64_t now_sample,
                            EventSink& sink) noexcept {
  if (!is_due(sounding, now_db_per_s)) {
    if (sounding.lead->evidence <= 0.0F) {
      end(sounding, now_sample, sink);
    }
    return;
  }
  // What was apart at first may have glided together.
  const SoundingRing* const same = rings_.at(*sounding.lead_scale, *sounding.lead, &sounding);
  if (same != nullptr && same->ring.state == RingState::kRinging) {
    end(sounding, now_sample, sink);
  } else {
    flag(sounding, now_sample, sink);
  }
}

void Rings::follow_ringing(SoundingRing& sounding,
                           float now_db_per_s,
                           std::int64_t now_sample,
                           EventSink& sink) noexcept {
  Ring& ring = sounding.ring;
  const bool fades = ring.level_dbfs < ring.peak_dbfs - static_cast<double>(kFadedDb) &&
                     now_db_per_s < kFadeDbPerS && sounding.lead->standing < kStands;
  if (!fades) {
    return;
  }
  if (!is_borne_out(sounding, now_sample)) {
    end(sounding, now_sample, sink);
    return;
  }
  ring.growth_db_per_s = static_cast<double>(now_db_per_s);
  change(sounding, RingState::kFading, now_sample, sink);
}

void Rings::follow_fading(SoundingRing& sounding,
                          std::int64_t now_sample,
                          EventSink& sink) noexcept {
  const Ring& ring = sounding.ring;
  ++sounding.fading_hops;
  if (sounding.lead->standing >= kStands) {
    // The loop took it down no further: it stands at the brink, a little lower than before.
    sounding.fading_hops = 0;
    change(sounding, RingState::kRinging, now_sample, sink);
    return;
  }
  // Growth that is proved anew is a ring of its own: in between the loop was under the brink.
  if (ring.level_dbfs < ring.peak_dbfs - static_cast<double>(kGoneDb) ||
      sounding.lead->evidence >= kPromising) {
    end(sounding, now_sample, sink);
  }
}

/// Whether it is to be flagged now.
bool Rings::is_due(const SoundingRing& sounding, float now_db_per_s) noexcept {
  const Ring& ring = sounding.ring;
  const float evidence = sounding.lead->evidence;
  if (evidence < certainty_.needed(sounding, places_.at(ring.frequency_hz)) ||
      now_db_per_s < kSinks || rings_.is_far_covered(ring) ||
      rings_.is_product(static_cast<float>(ring.frequency_hz),
                        static_cast<float>(ring.level_dbfs))) {
    return false;
  }
  return ring.level_dbfs >= kFaintDbfs || (evidence >= kFaintEvidence && rings_.is_lead(ring));
}

void Rings::flag(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept {
  Ring& ring = sounding.ring;
  ring.flagged_sample = now_sample;
  ring.onset_sample = onset_of(sounding, now_sample);
  ring.frequency_low_hz = ring.frequency_high_hz = ring.frequency_hz;
  Place& place = places_.visit(ring.frequency_hz, ring.frequency_sd_hz, now_sample);
  place.growth_db_per_s = ring.growth_db_per_s;
  ring.place = place.number;
  change(sounding, RingState::kRinging, now_sample, sink);
}

/// Whether what followed its flag spoke for a ring.
bool Rings::is_borne_out(const SoundingRing& sounding, std::int64_t now_sample) const noexcept {
  const double since_flag_s =
      static_cast<double>(now_sample - sounding.ring.flagged_sample) / sample_rate_hz_;
  return Certainty::is_borne_out(sounding.evidence, since_flag_s);
}

/// It is over; withdrawn when it was flagged and what followed did not bear it out.
void Rings::end(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept {
  const bool was_flagged = sounding.ring.flagged_sample != kNever;
  const bool holds = !was_flagged || is_borne_out(sounding, now_sample);
  if (Place* place = places_.at(sounding.ring.frequency_hz); was_flagged && place != nullptr) {
    place->doubted_times += holds || sounding.evidence >= kDoubt ? 0 : 1;
    place->last_seen_sample = now_sample;
  }
  change(sounding, holds ? RingState::kGone : RingState::kWithdrawn, now_sample, sink);
}

void Rings::change(SoundingRing& sounding,
                   RingState state,
                   std::int64_t now_sample,
                   EventSink& sink) noexcept {
  sounding.ring.state = state;
  sounding.ring.confidence = confidence_of(sounding.evidence);
  if (is_over(state)) {
    sounding.ring.ended_sample = now_sample;
    sounding.ring.growth_db_per_s = sounding.rise_db_per_s;
  }
  sink.on_event({now_sample, sounding.ring});
}

}  // namespace brink::detector
