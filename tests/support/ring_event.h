#pragma once

#include <cstdint>

#include "show/session_event.h"

namespace brink::tests {

/// What a session tells of a ring on tap 1, at 48 kHz, which grows by 40 dB a second.
inline show::SessionEvent ring_event(show::EventKind kind,
                                     std::uint32_t id,
                                     double frequency_hz,
                                     double stream_s) {
  constexpr double kRateHz = 48000.0;
  show::SessionEvent made;
  made.kind = kind;
  made.tap = 1;
  made.stream_s = stream_s;
  made.sample_rate_hz = kRateHz;
  made.ring.id = id;
  made.ring.frequency_hz = frequency_hz;
  made.ring.growth_db_per_s = 40.0;
  made.ring.state = kind == show::EventKind::kRinging  ? detector::RingState::kRinging
                    : kind == show::EventKind::kFading ? detector::RingState::kFading
                                                       : detector::RingState::kBuilding;
  if (kind != show::EventKind::kBuilding) {
    made.ring.flagged_sample = static_cast<std::int64_t>(stream_s * kRateHz);
  }
  return made;
}

}  // namespace brink::tests
