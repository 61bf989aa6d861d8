#include "app/tap_listener.h"

#include <algorithm>
#include <array>

#include "app/ring_list.h"
#include "app/ring_measurement.h"

namespace brink::app {
namespace {

EventKind to_kind(core::RingState state) noexcept {
  switch (state) {
    case core::RingState::kBuilding:
      return EventKind::kBuilding;
    case core::RingState::kRinging:
      return EventKind::kRinging;
    case core::RingState::kFading:
      return EventKind::kFading;
    case core::RingState::kGone:
      break;
  }
  return EventKind::kGone;
}

core::DetectorConfig config_for(double sample_rate_hz) {
  core::DetectorConfig config;
  config.sample_rate_hz = sample_rate_hz;
  return config;
}

}  // namespace

TapListener::TapListener(int tap, double sample_rate_hz)
    : tap_(tap),
      sample_rate_hz_(sample_rate_hz),
      detector_(config_for(sample_rate_hz)),
      monitor_(sample_rate_hz) {}

void TapListener::push(std::span<const float> block) {
  monitor_.push(block);
  detector_.push(block, *this);
}

void TapListener::push_lost(std::int64_t sample_count) {
  static constexpr std::array<float, 4096> kSilence{};
  while (sample_count > 0) {
    const auto count = std::min<std::int64_t>(sample_count, kSilence.size());
    detector_.push(std::span(kSilence).first(static_cast<std::size_t>(count)), *this);
    sample_count -= count;
  }
}

void TapListener::finish() {
  detector_.finish(*this);
}

void TapListener::break_off() {
  monitor_.reset();
  if (detector_.counts().samples == 0) {
    return;  // nothing to forget
  }
  finish();
  earlier_counts_ = counts();
  earlier_ring_count_ = ring_count_;
  detector_ = core::Detector(config_for(sample_rate_hz_));
}

void TapListener::copy_tracks(std::vector<core::TrackView>& tracks) const {
  tracks.assign(detector_.tracks().begin(), detector_.tracks().end());
  for (core::TrackView& track : tracks) {
    track.ring_id += track.ring_id == 0 ? 0 : earlier_ring_count_;
  }
}

core::InputCounts TapListener::counts() const noexcept {
  core::InputCounts counts = detector_.counts();
  counts.samples += earlier_counts_.samples;
  counts.non_finite += earlier_counts_.non_finite;
  counts.clipped += earlier_counts_.clipped;
  return counts;
}

/// The event as the whole stream has it, and not only the present stretch.
core::RingEvent TapListener::placed(core::RingEvent event) const noexcept {
  const std::int64_t start = earlier_counts_.samples;
  event.sample += start;
  event.ring.id += earlier_ring_count_;
  for (std::int64_t* const sample :
       {&event.ring.onset_sample, &event.ring.flagged_sample, &event.ring.ended_sample}) {
    *sample += *sample == core::kNever ? 0 : start;
  }
  return event;
}

core::Ring& TapListener::known(const core::Ring& ring) {
  const auto found = std::find_if(
      sounding_.begin(), sounding_.end(), [&](const auto& other) { return other.id == ring.id; });
  if (found == sounding_.end()) {
    return sounding_.emplace_back(ring);
  }
  *found = merge_ring(*found, ring);
  return *found;
}

void TapListener::on_event(const core::RingEvent& stretch_event) noexcept {
  const core::RingEvent event = placed(stretch_event);
  ring_count_ = std::max(ring_count_, event.ring.id);
  core::Ring& ring = known(event.ring);
  SessionEvent out;
  out.kind = to_kind(event.ring.state);
  out.stream_s = static_cast<double>(event.sample) / sample_rate_hz_;
  out.tap = tap_;
  out.sample_rate_hz = sample_rate_hz_;
  out.ring = out.kind == EventKind::kGone ? ring : event.ring;
  if (was_certain(ring)) {
    out.cut = cuts::propose_cut(to_measurement(ring, sample_rate_hz_, event.sample));
  }
  if (out.kind == EventKind::kGone) {
    std::swap(ring, sounding_.back());
    sounding_.pop_back();
  }
  events_.push_back(out);
}

}  // namespace brink::app
