#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "detector/detector.h"
#include "listen/input_monitor.h"
#include "listen/loop_watch.h"
#include "listen/sound_meter.h"
#include "show/session_event.h"

namespace brink::listen {

/// One tap of a session: its detector and its level. Events are collected until they are taken.
/// [analysis]
class TapListener final : public detector::EventSink {
 public:
  /// `sure`: DetectorConfig::sure.
  TapListener(int tap, double sample_rate_hz, double sure = 0.0);

  /// From now on there is a forecast(), too. It makes push() slower by about 2 % of real time.
  void foresee() { watch_.emplace(sample_rate_hz_); }

  /// Measures sound pressure too, from now on.
  void measure_sound(const Calibration& calibration);

  /// Takes the next samples, full scale +-1, in blocks of any size.
  void push(std::span<const float> block);
  /// Lost samples count as silence, so that stream time goes on. The level ignores them.
  void push_lost(std::int64_t sample_count);
  /// Ends the stream: every ring is gone.
  void finish();
  /// Ends a stretch of the stream. What comes next is not related to it. So a new detector goes on
  /// from the same place in stream time.
  void break_off();

  [[nodiscard]] int tap() const noexcept { return tap_; }

  [[nodiscard]] const detector::Detector& detector() const noexcept { return detector_; }

  /// Copies Detector::tracks(), with the ids that the events have.
  void copy_tracks(std::vector<detector::TrackView>& tracks) const;
  /// Counts of all stretches together.
  [[nodiscard]] detector::InputCounts counts() const noexcept;

  [[nodiscard]] const InputMonitor& monitor() const noexcept { return monitor_; }

  /// Nothing without measure_sound(), and before a second was heard.
  [[nodiscard]] std::optional<show::SoundLevels> sound_levels() const noexcept;

  /// All events since the last clear_events(), in order, with the samples and ids of the stream.
  [[nodiscard]] const std::vector<detector::RingEvent>& events() const noexcept { return events_; }

  [[nodiscard]] Forecast forecast() const { return watch_ ? watch_->forecast() : Forecast{}; }

  void clear_events() noexcept { events_.clear(); }

  void on_event(const detector::RingEvent& event) noexcept override;

 private:
  [[nodiscard]] detector::RingEvent placed(detector::RingEvent event) const noexcept;

  int tap_;
  double sample_rate_hz_;
  double sure_;
  detector::Detector detector_;
  InputMonitor monitor_;
  std::optional<LoopWatch> watch_;
  std::optional<SoundMeter> sound_meter_;
  detector::InputCounts earlier_counts_;  // counts before the present detector
  std::uint32_t earlier_ring_count_ = 0;  // highest id used before the present detector
  std::uint32_t ring_count_ = 0;
  std::vector<detector::RingEvent> events_;
};

}  // namespace brink::listen
