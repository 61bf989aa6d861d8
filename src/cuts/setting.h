#pragma once

#include <complex>
#include <numbers>
#include <vector>

#include "base/biquad.h"
#include "cuts/cut.h"

namespace brink::cuts {

/// Second-order maximally flat high-pass; corner_hz 0: out of the path.
struct HighPass {
  double corner_hz = 0.0;

  static constexpr double kQ = std::numbers::sqrt2 / 2.0;

  friend bool operator==(const HighPass&, const HighPass&) = default;
};

/// What an equaliser is set to.
struct Setting {
  HighPass high_pass;
  std::vector<Cut> cuts;
};

/// The setting as filter sections, for running it over samples.
[[nodiscard]] std::vector<base::Biquad> to_sections(const Setting& setting, double sample_rate_hz);

[[nodiscard]] std::complex<double> response(const Setting& setting,
                                            double frequency_hz,
                                            double sample_rate_hz) noexcept;

/// The third-octaves over which lost sound is counted: 125 Hz to 8 kHz, 19 bands.
inline constexpr int kFirstLossBand = -9;
inline constexpr int kLastLossBand = 9;
inline constexpr int kLossBandCount = kLastLossBand - kFirstLossBand + 1;

/// Mean over those third-octaves of the level that each loses, dB, positive for a loss. A band's
/// level is that of pink noise: the mean of |H|^2 over the logarithm of frequency.
[[nodiscard]] double mean_level_lost_db(const Setting& setting, double sample_rate_hz);

}  // namespace brink::cuts
