#include "support/sounds.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace brink::tests {

std::vector<float> white_noise(double length_s,
                               double sample_rate_hz,
                               double rms_dbfs,
                               std::uint32_t seed) {
  // Uniform noise of peak p has the RMS p / sqrt(3).
  const double peak = std::sqrt(3.0) * std::pow(10.0, rms_dbfs / 20.0);
  std::mt19937 random(seed);
  std::vector<float> samples(static_cast<std::size_t>(length_s * sample_rate_hz));
  for (float& sample : samples) {
    sample = static_cast<float>(peak * (static_cast<double>(random()) / 2147483648.0 - 1.0));
  }
  return samples;
}

std::vector<float> RingSound::samples() const {
  std::vector<float> all = white_noise(length_s, sample_rate_hz, noise_dbfs, seed);
  for (std::size_t i = 0; i < all.size(); ++i) {
    const double now_s = static_cast<double>(i) / sample_rate_hz;
    const double grown_dbfs = start_dbfs + growth_db_per_s * (now_s - onset_s);
    const double level_dbfs =
        std::min(grown_dbfs, limit_dbfs) - decay_db_per_s * std::max(0.0, now_s - cut_s);
    const double turns = frequency_hz * now_s;
    all[i] += static_cast<float>(std::pow(10.0, level_dbfs / 20.0) *
                                 std::sin(2.0 * std::numbers::pi * (turns - std::floor(turns))));
  }
  return all;
}

}  // namespace brink::tests
