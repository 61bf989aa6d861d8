#include "listen/tap_listener.h"

#include <algorithm>
#include <array>

namespace brink::listen {
namespace {

detector::DetectorConfig config_for(double sample_rate_hz, double sure) {
  detector::DetectorConfig config;
  config.sample_rate_hz = sample_rate_hz;
  config.sure = sure;
  return config;
}

}  // namespace

TapListener::TapListener(int tap, double sample_rate_hz, double sure)
    : tap_(tap),
      sample_rate_hz_(sample_rate_hz),
      sure_(sure),
      detector_(config_for(sample_rate_hz, sure)),
      monitor_(sample_rate_hz) {}

void TapListener::measure_sound(const Calibration& calibration) {
  sound_meter_.emplace(sample_rate_hz_, calibration);
}

std::optional<show::SoundLevels> TapListener::sound_levels() const noexcept {
  return sound_meter_ ? sound_meter_->levels() : std::nullopt;
}

void TapListener::push(std::span<const float> block) {
  monitor_.push(block);
  if (sound_meter_) {
    sound_meter_->push(block);
  }
  detector_.push(block, *this);
  if (watch_) {
    watch_->push(block);
  }
}

void TapListener::push_lost(std::int64_t sample_count) {
  static constexpr std::array<float, 4096> kSilence{};
  if (watch_) {
    watch_->reset();
  }
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
  if (watch_) {
    watch_->reset();
  }
  if (sound_meter_) {
    sound_meter_->break_off();
  }
  if (detector_.counts().samples == 0) {
    return;  // nothing to forget
  }
  finish();
  earlier_counts_ = counts();
  earlier_ring_count_ = ring_count_;
  detector_ = detector::Detector(config_for(sample_rate_hz_, sure_));
}

void TapListener::copy_tracks(std::vector<detector::TrackView>& tracks) const {
  const std::span<const detector::TrackView> newest = detector_.tracks();  // made anew by each call
  tracks.assign(newest.begin(), newest.end());
  for (detector::TrackView& track : tracks) {
    track.ring_id += track.ring_id == 0 ? 0 : earlier_ring_count_;
  }
}

detector::InputCounts TapListener::counts() const noexcept {
  detector::InputCounts counts = detector_.counts();
  counts.samples += earlier_counts_.samples;
  counts.non_finite += earlier_counts_.non_finite;
  counts.clipped += earlier_counts_.clipped;
  return counts;
}

/// The event as the whole stream has it, and not only the present stretch.
detector::RingEvent TapListener::placed(detector::RingEvent event) const noexcept {
  const std::int64_t start = earlier_counts_.samples;
  event.sample += start;
  event.ring.id += earlier_ring_count_;
  for (std::int64_t* const sample :
       {&event.ring.onset_sample, &event.ring.flagged_sample, &event.ring.ended_sample}) {
    *sample += *sample == detector::kNever ? 0 : start;
  }
  return event;
}

void TapListener::on_event(const detector::RingEvent& stretch_event) noexcept {
  events_.push_back(placed(stretch_event));
  ring_count_ = std::max(ring_count_, events_.back().ring.id);
}

}  // namespace brink::listen
