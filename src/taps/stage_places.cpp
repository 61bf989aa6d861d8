#include "taps/stage_places.h"

#include <algorithm>
#include <cmath>

namespace brink::taps {

bool is_same_tone(const detector::Ring& a, const detector::Ring& b) noexcept {
  // Three standard deviations of both together. A ring in programme can be off by more in its first
  // half second, and no stage has two so close: the rings of a loop of 50 ms are 20 Hz apart.
  constexpr double kLeastHz = 3.0;
  constexpr double kMostRatio = 0.005;  // beyond that it is another place
  const double sd_hz = std::hypot(a.frequency_sd_hz, b.frequency_sd_hz);
  const double reach_hz = std::max(kLeastHz, 3.0 * sd_hz);
  const double most_hz = std::max(kLeastHz, kMostRatio * std::min(a.frequency_hz, b.frequency_hz));
  return std::abs(a.frequency_hz - b.frequency_hz) <= std::min(reach_hz, most_hz);
}

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
