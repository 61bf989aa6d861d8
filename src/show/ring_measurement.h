#pragma once

#include <cstdint>

#include "cuts/propose.h"
#include "detector/ring.h"

namespace brink::show {

/// A ring as far as a cut follows from it. `end_sample`: where it stops if it still sounds.
[[nodiscard]] cuts::RingMeasurement to_measurement(const detector::Ring& ring,
                                                   double sample_rate_hz,
                                                   std::int64_t end_sample);

/// The growth that a cut may be made for. A ring that stayed under 80 % sure to its end may owe its
/// slope to a note's attack: 0, which asks for the least cut. Of the 15 such among the labelled
/// recordings (docs/validation.md) 6 are true, and by their true growth none wants more than that.
[[nodiscard]] double trusted_growth(double growth_db_per_s, double confidence) noexcept;

}  // namespace brink::show
