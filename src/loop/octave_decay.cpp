#include "loop/octave_decay.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loop/band_limits.h"

namespace brink::loop {

double t60_at_s(const RoomConfig& room, double frequency_hz) noexcept {
  const double octaves_below = std::clamp(std::log2(500.0 / frequency_hz), 0.0, 2.0);
  const double octaves_above = std::clamp(std::log2(frequency_hz / 1000.0), 0.0, 3.0);
  return room.t60_s * (1.0 + (room.t60_low_ratio - 1.0) * octaves_below / 2.0 +
                       (room.t60_high_ratio - 1.0) * octaves_above / 3.0);
}

void shape_octave_decay(const RoomConfig& room, double start_s, std::vector<double>& response) {
  if (room.t60_low_ratio == 1.0 && room.t60_high_ratio == 1.0) {
    return;
  }
  const std::vector<double> whole = response;
  std::vector<double> below(whole.size());  // sum of the octaves so far
  std::fill(response.begin(), response.end(), 0.0);
  const double amplitude_decay = 3.0 * std::log(10.0);
  for (int octave = 0; octave < 7; ++octave) {
    const double centre_hz = std::ldexp(125.0, octave);
    const double edge_hz = centre_hz * std::numbers::sqrt2;
    const bool is_last = centre_hz > 7000.0 || edge_hz * 2.0 >= 0.45 * room.sample_rate_hz;
    std::vector<double> up_to = whole;
    if (!is_last) {
      apply({0.0, edge_hz}, room.sample_rate_hz, up_to);
    }
    const double extra_per_s =
        amplitude_decay * (1.0 / t60_at_s(room, centre_hz) - 1.0 / room.t60_s);
    for (std::size_t n = 0; n < whole.size(); ++n) {
      const double since_s = std::max(0.0, static_cast<double>(n) / room.sample_rate_hz - start_s);
      response[n] += (up_to[n] - below[n]) * std::exp(-extra_per_s * since_s);
    }
    below = std::move(up_to);
    if (is_last) {
      break;
    }
  }
}

}  // namespace brink::loop
