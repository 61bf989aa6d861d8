#pragma once

#include <complex>
#include <numbers>
#include <vector>

#include "base/biquad.h"
#include "cuts/cut.h"

namespace brink::cuts {

/// Second-order maximally flat high-pass. With corner_hz 0 it is off.
struct HighPass {
  double corner_hz = 0.0;

  static constexpr double kQ = std::numbers::sqrt2 / 2.0;

  friend bool operator==(const HighPass&, const HighPass&) = default;
};

/// The state of an equaliser.
struct Setting {
  HighPass high_pass;
  std::vector<Cut> cuts;

  friend bool operator==(const Setting&, const Setting&) = default;
};

/// The filter sections of the setting, to run over samples.
[[nodiscard]] std::vector<base::Biquad> to_sections(const Setting& setting, double sample_rate_hz);

[[nodiscard]] std::complex<double> response(const Setting& setting,
                                            double frequency_hz,
                                            double sample_rate_hz) noexcept;

/// Lost sound is counted over these third-octaves: 125 Hz to 8 kHz, 19 bands.
inline constexpr int kFirstLossBand = -9;
inline constexpr int kLastLossBand = 9;
inline constexpr int kLossBandCount = kLastLossBand - kFirstLossBand + 1;

/// Mean level lost over those third-octaves, dB; a loss is positive. A band's level is that of pink
/// noise: the mean of |H|^2 over the logarithm of frequency.
[[nodiscard]] double mean_level_lost_db(const Setting& setting, double sample_rate_hz);

}  // namespace brink::cuts
