#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <span>

#include "taps/tap_history.h"

namespace brink::taps {

/// The band around a frequency, turned down to 0 Hz.
struct RingBand {
  Eigen::MatrixXcd samples;  ///< one row for each tap, oldest first
  double rate_hz;
};

/// The band of some taps over at most `length_s` before sample `end`. `band_rate_hz`: about the
/// samples of a second; the band reaches 0.4 of it to both sides. Fewer samples, or none, where
/// less was heard. Allocates. [analysis]
[[nodiscard]] RingBand band_around(const TapHistory& history,
                                   std::span<const std::size_t> taps,
                                   double frequency_hz,
                                   double band_rate_hz,
                                   double length_s,
                                   std::int64_t end);

}  // namespace brink::taps
