#pragma once

#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "taps/tap_history.h"

namespace brink::taps {

/// A ring as it is on the microphones' taps.
struct TapTone {
  double frequency_hz = 0.0;
  double growth_db_per_s = 0.0;
  std::span<const std::complex<double>> levels;  ///< one for each tap
};

/// How strongly a sound on each tap drives the ring, one for each tap, with any common factor,
/// never negative: the left eigenvector of the loop without its phases, since sends have none. All
/// taps are microphones' channels.
///
/// Whoever talks or plays into one microphone is heard there first. What the others get of it
/// through the outputs comes later by the delay of console and air. So the taps are predicted from
/// their own past, all from all, by least squares in a band around the ring (the direct method for
/// closed loops: L. Ljung, "System Identification", 2nd ed. 1999, 13.4). The predictor is an
/// estimate of the loop. Of it only what goes through two sums of the taps is kept, since an output
/// is such a sum (reduced-rank regression: A. J. Izenman, J. Multivariate Anal. 5, 1975, from
/// memory). Its left null vector at the ring's pole is what is looked for.
///
/// Where the sound says little, the answer is near 1 for each: all channels are sent to one output
/// alike. Only the kMostDriveTaps loudest of the ring are looked at; the others get 0, and so does
/// a silent tap. Allocates. [analysis]
[[nodiscard]] std::vector<double> find_drives(const TapHistory& history,
                                              const TapTone& ring,
                                              std::int64_t end);

/// How far back find_drives() looks.
inline constexpr double kDrivesS = 4.0;
inline constexpr std::size_t kMostDriveTaps = 12;

}  // namespace brink::taps
