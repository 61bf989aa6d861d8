#include "taps/stage_places.h"

#include <algorithm>

namespace brink::taps {

std::uint32_t StagePlaces::number(std::uint32_t known, std::span<const TapRing> rings) {
  std::uint32_t number = known != 0 ? known : number_of_tap(rings);
  number = number != 0 ? number : number_of_tone(rings);
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

/// Of the first tap that rang there before; 0 for none.
std::uint32_t StagePlaces::number_of_tap(std::span<const TapRing> rings) const {
  for (const TapRing& one : rings) {
    const auto of_tap = of_taps_.find({one.tap, one.ring.place});
    if (one.ring.place != 0 && of_tap != of_taps_.end() && of_tap->second != 0) {
      return of_tap->second;
    }
  }
  return 0;
}

/// Of the first place that has the frequency of a certain ring; 0 for none.
std::uint32_t StagePlaces::number_of_tone(std::span<const TapRing> rings) const {
  for (const TapRing& one : rings) {
    const auto place = std::find_if(places_.begin(), places_.end(), [&](const Place& known) {
      detector::Ring there;
      there.frequency_hz = known.frequency_hz;
      return is_same_tone(there, one.ring);
    });
    if (is_certain(one.ring) && place != places_.end()) {
      return place->number;
    }
  }
  return 0;
}

}  // namespace brink::taps
