#pragma once

#include <chrono>
#include <cstdint>

#include "show/session_event.h"

namespace brink::tests {

/// Makes the events that a session would report, one after another, 100 ms apart.
class Heard {
 public:
  static constexpr double kRateHz = 48000.0;

  [[nodiscard]] std::chrono::system_clock::time_point now() const { return wall_; }

  /// The number of a new ring.
  std::uint32_t begins() { return ++last_id_; }

  show::SessionEvent event(show::EventKind kind,
                           std::uint32_t id,
                           double frequency_hz,
                           double level_dbfs = -30.0,
                           int tap = 1) {
    wall_ += std::chrono::milliseconds(100);
    stream_s_ += 0.1;
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
    event.ring.frequency_hz = frequency_hz;
    event.ring.frequency_sd_hz = 0.3;
    event.ring.growth_db_per_s = kind == show::EventKind::kFading ? -60.0 : 30.0;
    event.ring.level_dbfs = level_dbfs;
    event.ring.peak_dbfs = level_dbfs;
    event.ring.confidence = 0.97;
    return event;
  }

 private:
  std::chrono::system_clock::time_point wall_ =
      std::chrono::system_clock::time_point(std::chrono::seconds(1'800'000'000));
  double stream_s_ = 0.0;
  std::uint32_t last_id_ = 0;
};

}  // namespace brink::tests
