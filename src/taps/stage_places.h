#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <span>
#include <utility>
#include <vector>

#include "taps/stage_ring.h"

namespace brink::taps {

/// Numbers the places of a stage: each tap's detector has numbers of its own. [analysis]
class StagePlaces {
 public:
  /// The stage's number, from 1, of the place at which some taps' rings sound: `known` where it is
  /// not 0, else that of a tap which rang there before, else that of the same frequency, else a new
  /// one. 0 when none of the rings is certain and none has a place.
  [[nodiscard]] std::uint32_t number(std::uint32_t known, std::span<const TapRing> rings);

  /// The detectors begin anew, with new numbers.
  void forget_taps() noexcept { of_taps_.clear(); }

 private:
  struct Place {
    std::uint32_t number = 0;
    double frequency_hz = 0.0;
  };

  [[nodiscard]] std::uint32_t number_of_tap(std::span<const TapRing> rings) const;
  [[nodiscard]] std::uint32_t number_of_tone(std::span<const TapRing> rings) const;

  std::map<std::pair<std::size_t, std::uint32_t>, std::uint32_t> of_taps_;  // by tap and its number
  std::vector<Place> places_;
  std::uint32_t last_ = 0;
};

}  // namespace brink::taps
