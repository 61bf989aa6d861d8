#pragma once

#include <cstdint>
#include <vector>

namespace brink::tests {

/// A tone in white noise that grows in a straight line of dB, as in a loop past its brink. It grows
/// up to a level where a limiter holds it. At `cut_s` it begins to decay.
struct RingSound {
  double sample_rate_hz = 48000.0;
  double length_s = 6.0;
  double frequency_hz = 1000.0;
  double onset_s = 1.5;       ///< here the growing tone leaves the noise
  double start_dbfs = -60.0;  ///< level at onset_s
  double growth_db_per_s = 40.0;
  double limit_dbfs = -9.0;
  double cut_s = 4.5;  ///< from here on it decays
  double decay_db_per_s = 60.0;
  double noise_dbfs = -60.0;  ///< RMS of the noise; a full-scale sine would read -3
  std::uint32_t seed = 1;     ///< of the noise

  [[nodiscard]] std::vector<float> samples() const;
};

/// White noise, uniform, with this RMS level re full scale 1. A seed gives the same noise on every
/// platform.
[[nodiscard]] std::vector<float> white_noise(double length_s,
                                             double sample_rate_hz,
                                             double rms_dbfs,
                                             std::uint32_t seed);

}  // namespace brink::tests
