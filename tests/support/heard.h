#pragma once

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <vector>

#include "show/session_event.h"

namespace brink::tests {

/// Makes the events that a session would report, one after another. They are an eighth of a second
/// apart, as sums of it are exact. Each ring began a quarter of a second before its first event.
class Heard {
 public:
  static constexpr double kRateHz = 48000.0;

  [[nodiscard]] std::chrono::system_clock::time_point now() const { return wall_; }

  [[nodiscard]] double stream_s() const { return stream_s_; }

  /// Time without an event.
  void passes(double for_s) {
    stream_s_ += for_s;
    wall_ += std::chrono::duration_cast<std::chrono::system_clock::duration>(
        std::chrono::duration<double>(for_s));
  }

  /// The number of a new ring.
  std::uint32_t begins() {
    began_s_.push_back(stream_s_ - kStepS);
    return static_cast<std::uint32_t>(began_s_.size());
  }

  show::SessionEvent event(show::EventKind kind,
                           std::uint32_t id,
                           double frequency_hz,
                           double level_dbfs = -30.0,
                           int tap = 1) {
    passes(kStepS);
    show::SessionEvent event;
    event.kind = kind;
    event.wall = wall_;
    event.stream_s = stream_s_;
    event.tap = tap;
    event.sample_rate_hz = kRateHz;
    event.ring.id = id;
    event.ring.state = kind == show::EventKind::kBuilding  ? detector::RingState::kBuilding
                       : kind == show::EventKind::kRinging ? detector::RingState::kRinging
                       : kind == show::EventKind::kFading  ? detector::RingState::kFading
                                                           : detector::RingState::kGone;
    event.ring.onset_sample =
        static_cast<std::int64_t>(std::max(0.0, began_s_.at(id - 1)) * kRateHz);
    event.ring.frequency_hz = frequency_hz;
    event.ring.frequency_sd_hz = 0.3;
    event.ring.growth_db_per_s = kind == show::EventKind::kFading ? -60.0 : 30.0;
    event.ring.level_dbfs = level_dbfs;
    event.ring.peak_dbfs = level_dbfs;
    event.ring.confidence = 0.97;
    return event;
  }

 private:
  static constexpr double kStepS = 0.125;

  std::chrono::system_clock::time_point wall_ =
      std::chrono::system_clock::time_point(std::chrono::seconds(1'800'000'000));
  double stream_s_ = 0.0;
  std::vector<double> began_s_;  // of each ring, in the stream
};

}  // namespace brink::tests
