#pragma once

#include "base/biquad.h"

namespace brink::cuts {

// Filter designs from R. Bristow-Johnson, Audio EQ Cookbook (W3C Group Note, 8 June 2021). Legal
// range for all: 0 < frequency < sample_rate_hz / 2, q > 0. A value outside becomes the nearest
// legal one, so that every design is stable. With a non-finite value the section leaves the signal
// unchanged. [any]

/// Peak or dip of depth_db (negative: a cut) at centre_hz. q is the cookbook's: the two frequencies
/// where the gain is half of depth_db lie q_to_bandwidth(q) octaves apart. A cut and a boost of
/// equal q and opposite depth cancel exactly.
[[nodiscard]] base::Biquad design_peaking(double centre_hz,
                                          double q,
                                          double depth_db,
                                          double sample_rate_hz) noexcept;

/// Second-order high-pass, 12 dB per octave. With q = sqrt(1/2) it is maximally flat and -3 dB at
/// corner_hz.
[[nodiscard]] base::Biquad design_high_pass(double corner_hz,
                                            double q,
                                            double sample_rate_hz) noexcept;

/// Zero at centre_hz. q is the centre divided by the width between the -3 dB points.
[[nodiscard]] base::Biquad design_notch(double centre_hz, double q, double sample_rate_hz) noexcept;

/// Q of a peaking filter whose half-gain points lie `octaves` apart: 1/Q = 2 sinh(ln2/2 octaves).
[[nodiscard]] double bandwidth_to_q(double octaves) noexcept;

/// The inverse of bandwidth_to_q.
[[nodiscard]] double q_to_bandwidth(double q) noexcept;

}  // namespace brink::cuts
