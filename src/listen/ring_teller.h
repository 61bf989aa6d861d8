#pragma once

#include <vector>

#include "show/session_event.h"
#include "taps/tap_rings.h"

namespace brink::listen {

/// Makes the events of a session from those of the stage. Remembers what is known of each ring that
/// sounds; the memory grows with these, not with the length of the stream. [analysis]
class RingTeller {
 public:
  explicit RingTeller(double sample_rate_hz) : sample_rate_hz_(sample_rate_hz) {}

  [[nodiscard]] show::SessionEvent tell(const taps::TapRingEvent& event);

 private:
  [[nodiscard]] detector::Ring& known(const detector::Ring& ring);

  double sample_rate_hz_;
  std::vector<detector::Ring> sounding_;
};

}  // namespace brink::listen
