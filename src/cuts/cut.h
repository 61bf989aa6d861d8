#pragma once

#include <complex>

#include "base/biquad.h"

namespace brink::cuts {

/// One equaliser move: a peaking filter as design_peaking() defines it.
struct Cut {
  double centre_hz = 0.0;
  double q = 0.0;         ///< the points of half the depth lie q_to_bandwidth(q) octaves apart
  double depth_db = 0.0;  ///< negative

  friend bool operator==(const Cut&, const Cut&) = default;
};

/// The cut's own section and its response at one frequency.
[[nodiscard]] base::Biquad to_section(const Cut& cut, double sample_rate_hz) noexcept;
[[nodiscard]] std::complex<double> response(const Cut& cut,
                                            double frequency_hz,
                                            double sample_rate_hz) noexcept;

/// Level in dB that the cut has at a frequency as an analogue filter. Use it where the sample rate
/// does not matter. Both frequencies > 0, q > 0.
[[nodiscard]] double level_db(const Cut& cut, double frequency_hz) noexcept;

}  // namespace brink::cuts
