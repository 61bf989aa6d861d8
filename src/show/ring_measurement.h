#pragma once

#include <cstdint>

#include "cuts/propose.h"
#include "detector/ring.h"

namespace brink::show {

/// A ring as far as a cut follows from it. `end_sample`: where it stops if it still sounds.
[[nodiscard]] cuts::RingMeasurement to_measurement(const detector::Ring& ring,
                                                   double sample_rate_hz,
                                                   std::int64_t end_sample);

/// The same once the ring is over, or nothing more of it will be heard: its growth is
/// cuts::trusted_growth().
[[nodiscard]] cuts::RingMeasurement to_final_measurement(const detector::Ring& ring,
                                                         double sample_rate_hz,
                                                         std::int64_t end_sample);

}  // namespace brink::show
