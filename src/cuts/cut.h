#pragma once

#include <complex>

#include "base/biquad.h"

namespace brink::cuts {

/// One equaliser move: a peaking filter as design_peaking() means it.
struct Cut {
  double centre_hz = 0.0;
  double q = 0.0;         ///< between the points of half the depth lie q_to_bandwidth(q) octaves
  double depth_db = 0.0;  ///< negative

  friend bool operator==(const Cut&, const Cut&) = default;
};

/// The cut's own section and its response at one frequency.
[[nodiscard]] base::Biquad to_section(const Cut& cut, double sample_rate_hz) noexcept;
[[nodiscard]] std::complex<double> response(const Cut& cut,
                                            double frequency_hz,
                                            double sample_rate_hz) noexcept;

/// Level of the cut's response at a frequency as an analogue filter would have it, dB: what a cut
/// does while the sample rate does not matter. Both frequencies > 0, q > 0.
[[nodiscard]] double level_db(const Cut& cut, double frequency_hz) noexcept;

}  // namespace brink::cuts
