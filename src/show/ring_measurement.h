#pragma once

#include <cstdint>

#include "cuts/propose.h"
#include "detector/ring.h"

namespace brink::show {

/// A ring as far as a cut follows from it. `end_sample`: where it stops if it still sounds.
[[nodiscard]] cuts::RingMeasurement to_measurement(const detector::Ring& ring,
                                                   double sample_rate_hz,
                                                   std::int64_t end_sample);

}  // namespace brink::show
