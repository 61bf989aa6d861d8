#include "detector/ring.h"

namespace brink::detector {

const char* to_word(RingState state) noexcept {
  switch (state) {
    case RingState::kBuilding:
      return "building";
    case RingState::kRinging:
      return "ringing";
    case RingState::kFading:
      return "fading";
    case RingState::kGone:
      return "gone";
    case RingState::kWithdrawn:
      return "withdrawn";
  }
  return "gone";
}

}  // namespace brink::detector
