#pragma once

#include <vector>

#include "loop/sweep/response_end.h"
#include "loop/sweep/sweep.h"

namespace brink::loop {

/// One third-octave of a measured response.
struct MeasuredBand {
  double centre_hz = 0.0;
  double level_db = 0.0;  ///< mean power of the response; 0: what comes back is as strong as what
                          ///< was sent
  double noise_db = 0.0;  ///< the same of what is not the loop's: noise, and all that changed
  double level_sd_db = 0.0;   ///< standard deviation of the level at one frequency
  double phase_sd_deg = 0.0;  ///< of the phase at one frequency
  double delay_s = 0.0;       ///< group delay after the first sample, mean by power
  double delay_sd_s = 0.0;
};

/// The third-octaves that the sweep covers, 63 Hz to 16 kHz.
[[nodiscard]] std::vector<MeasuredBand> measured_bands(Spectra& spectra,
                                                       const NoisyResponse& response,
                                                       const SweepConfig& sweep);

}  // namespace brink::loop
