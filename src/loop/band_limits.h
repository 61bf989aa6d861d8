#pragma once

#include <vector>

namespace brink::loop {

/// The range that a loudspeaker or microphone passes. Both ends are second-order Butterworth
/// filters.
struct BandLimits {
  double low_hz = 0.0;   ///< 0: down to DC
  double high_hz = 0.0;  ///< 0: up to half the sample rate
};

/// Filters an impulse response by the limits, in place. The length stays the same: what rings on
/// beyond the end is dropped. Throws Error unless 0 <= low_hz < high_hz < sample_rate_hz / 2.
void apply(const BandLimits& limits, double sample_rate_hz, std::vector<double>& response);

}  // namespace brink::loop
