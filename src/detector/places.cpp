#include "detector/places.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace brink::detector {

namespace {

constexpr std::size_t kMostPlaces = 64;
constexpr double kReachRatio = 0.005;  // what warm air and a moved microphone do to a place
constexpr double kReachHz = 1.0;

}  // namespace

Places::Places() {
  places_.reserve(kMostPlaces);
}

Place* Places::at(double frequency_hz) noexcept {
  Place* nearest = nullptr;
  double best_hz = std::max(kReachHz, kReachRatio * frequency_hz);
  for (Place& place : places_) {
    const double distance_hz = std::abs(place.frequency_hz - frequency_hz);
    if (distance_hz <= best_hz) {
      best_hz = distance_hz;
      nearest = &place;
    }
  }
  return nearest;
}

Place& Places::visit(double frequency_hz,
                     double frequency_sd_hz,
                     std::int64_t now_sample) noexcept {
  Place* place = at(frequency_hz);
  if (place == nullptr) {
    if (places_.size() == kMostPlaces) {
      places_.erase(
          std::min_element(places_.begin(), places_.end(), [](const Place& a, const Place& b) {
            return a.last_seen_sample < b.last_seen_sample;
          }));
    }
    place = &places_.emplace_back();
    place->number = next_number_++;
    place->frequency_hz = frequency_hz;
    place->frequency_sd_hz = frequency_sd_hz;
  }
  ++place->times;
  place->last_seen_sample = now_sample;
  // The running mean; the deviation follows the visits, each no better known than it says.
  const double off_hz = frequency_hz - place->frequency_hz;
  const double share = 1.0 / place->times;
  place->frequency_hz += share * off_hz;
  const double variance = (1.0 - share) * place->frequency_sd_hz * place->frequency_sd_hz +
                          share * (1.0 - share) * off_hz * off_hz +
                          share * frequency_sd_hz * frequency_sd_hz;
  place->frequency_sd_hz = std::sqrt(variance);
  return *place;
}

}  // namespace brink::detector
