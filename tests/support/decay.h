#pragma once

#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

namespace brink::tests {

/// Reverberation time by Schroeder's backward integration: a straight line through the remaining
/// energy, from -5 to -25 dB, extended to 60 dB (ISO 3382 calls it T20). Source: M. R. Schroeder,
/// "New method of measuring reverberation time", J. Acoust. Soc. Am. 37, 409-412, 1965.
inline double measured_t60_s(std::span<const double> response, double sample_rate_hz) {
  std::vector<double> left(response.size() + 1);
  for (std::size_t n = response.size(); n-- > 0;) {
    left[n] = left[n + 1] + response[n] * response[n];
  }
  double sx = 0.0;
  double sy = 0.0;
  double sxx = 0.0;
  double sxy = 0.0;
  double count = 0.0;
  for (std::size_t n = 0; n < response.size(); ++n) {
    const double level_db = 10.0 * std::log10(left[n] / left[0] + 1e-30);
    if (level_db <= -5.0 && level_db >= -25.0) {
      const double time_s = static_cast<double>(n) / sample_rate_hz;
      sx += time_s;
      sy += level_db;
      sxx += time_s * time_s;
      sxy += time_s * level_db;
      count += 1.0;
    }
  }
  return -60.0 * (count * sxx - sx * sx) / (count * sxy - sx * sy);
}

}  // namespace brink::tests
