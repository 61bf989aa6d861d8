#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <numbers>
#include <vector>

#include "support/sounds.h"

namespace brink::tests {

/// Sums of tones whose level and pitch follow functions of time, over a bed of white noise: sounds
/// in closed form, for which everybody can say whether they ring.
class Tones {
 public:
  Tones(double length_s, double sample_rate_hz, double noise_dbfs, std::uint32_t seed = 1)
      : samples_(white_noise(length_s, sample_rate_hz, noise_dbfs, seed)),
        sample_rate_hz_(sample_rate_hz) {}

  /// `level_dbfs` of time in s; at -120 and below there is nothing.
  Tones& add(double frequency_hz, const std::function<double(double)>& level_dbfs) {
    return add_bent([=](double) { return frequency_hz; }, level_dbfs);
  }

  /// The same with a pitch that moves.
  Tones& add_bent(const std::function<double(double)>& frequency_hz,
                  const std::function<double(double)>& level_dbfs) {
    double turns = 0.0;
    for (std::size_t n = 0; n < samples_.size(); ++n) {
      const double now_s = static_cast<double>(n) / sample_rate_hz_;
      const double level = level_dbfs(now_s);
      turns += frequency_hz(now_s) / sample_rate_hz_;
      turns -= std::floor(turns);
      if (level > -120.0) {
        samples_[n] += static_cast<float>(std::pow(10.0, level / 20.0) *
                                          std::sin(2.0 * std::numbers::pi * turns));
      }
    }
    return *this;
  }

  /// White noise of this RMS for a while, such as a drum or a syllable.
  Tones& add_noise(double from_s, double to_s, double rms_dbfs) {
    const std::vector<float> noise = white_noise(to_s - from_s, sample_rate_hz_, rms_dbfs, 5);
    const auto first = static_cast<std::size_t>(from_s * sample_rate_hz_);
    for (std::size_t n = 0; n < noise.size() && first + n < samples_.size(); ++n) {
      samples_[first + n] += noise[n];
    }
    return *this;
  }

  /// What an amplifier does at its end: nothing passes `limit_dbfs`.
  Tones& clip(double limit_dbfs) {
    const auto limit = static_cast<float>(std::pow(10.0, limit_dbfs / 20.0));
    for (float& sample : samples_) {
      sample = std::min(std::max(sample, -limit), limit);
    }
    return *this;
  }

  /// The same with a soft corner.
  Tones& saturate(double limit_dbfs) {
    const auto limit = static_cast<float>(std::pow(10.0, limit_dbfs / 20.0));
    for (float& sample : samples_) {
      sample = limit * std::tanh(sample / limit);
    }
    return *this;
  }

  [[nodiscard]] const std::vector<float>& samples() const { return samples_; }

 private:
  std::vector<float> samples_;
  double sample_rate_hz_;
};

/// A level that grows in a straight line from -60 dBFS at `onset_s` up to `limit_dbfs`.
inline std::function<double(double)> growing(double onset_s,
                                             double growth_db_per_s,
                                             double limit_dbfs) {
  return [=](double now_s) {
    return std::min(-60.0 + growth_db_per_s * (now_s - onset_s), limit_dbfs);
  };
}

}  // namespace brink::tests
