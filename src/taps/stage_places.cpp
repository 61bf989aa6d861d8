#include "taps/stage_places.h"

namespace brink::taps {

std::uint32_t StagePlaces::number(std::uint32_t known, std::span<const TapRing> rings) {
  std::uint32_t number = known;
  for (const TapRing& one : rings) {
    const auto of_tap = of_taps_.find({one.tap, one.ring.place});
    if (number == 0 && one.ring.place != 0 && of_tap != of_taps_.end()) {
      number = of_tap->second;
    }
  }
  for (const TapRing& one : rings) {
    for (const Place& place : places_) {
      detector::Ring there;
      there.frequency_hz = place.frequency_hz;
      if (number == 0 && is_certain(one.ring) && is_same_tone(there, one.ring)) {
        number = place.number;
      }
    }
  }
  for (const TapRing& one : rings) {
    if (number == 0 && is_certain(one.ring)) {
      number = ++last_;
      places_.push_back({number, one.ring.frequency_hz});
    }
    if (one.ring.place != 0) {
      of_taps_.try_emplace({one.tap, one.ring.place}, number);
    }
  }
  return number;
}

}  // namespace brink::taps
