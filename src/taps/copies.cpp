#include "taps/copies.h"

#include <cmath>

namespace brink::taps {
namespace {

constexpr std::int64_t kLookSamples = 1024;
constexpr double kSilenceLin = 1e-4;  // a mean level below -80 dBFS says nothing
// What two microphones never reach: their noise alone is more than -50 dB of the sound. A copy at
// another level differs by rounding.
constexpr double kMostUnlike = 1e-5;

}  // namespace

Copies::Copies(std::size_t tap_count) : agreed_(tap_count * tap_count), copy_of_(tap_count, -1) {}

void Copies::look(const TapHistory& history) {
  const auto pause = static_cast<std::int64_t>(kPauseS * history.sample_rate_hz());
  if (history.sample_count() < next_look_ + kLookSamples) {
    return;
  }
  const std::int64_t from = next_look_;
  next_look_ += pause;
  const std::size_t taps = history.tap_count();
  std::vector<std::vector<float>> sounds(taps, std::vector<float>(kLookSamples));
  std::vector<double> power(taps);
  for (std::size_t tap = 0; tap < taps; ++tap) {
    for (std::int64_t n = 0; n < kLookSamples; ++n) {
      const float sample = history.sample(tap, from + n);
      sounds[tap][static_cast<std::size_t>(n)] = sample;
      power[tap] += static_cast<double>(sample) * static_cast<double>(sample);
    }
  }
  constexpr double kLeastPower = kSilenceLin * kSilenceLin * kLookSamples;
  for (std::size_t b = 1; b < taps; ++b) {
    copy_of_[b] = -1;
    for (std::size_t a = 0; a < b; ++a) {
      int& agreed = agreed_[b * taps + a];
      if (power[a] < kLeastPower || power[b] < kLeastPower) {
        agreed = power[a] == 0.0 && power[b] == 0.0 ? agreed : 0;
      } else {
        double both = 0.0;
        for (std::size_t n = 0; n < sounds[a].size(); ++n) {
          both += static_cast<double>(sounds[a][n]) * static_cast<double>(sounds[b][n]);
        }
        const bool is_alike = 1.0 - both * both / (power[a] * power[b]) < kMostUnlike;
        agreed = is_alike ? agreed + 1 : 0;
      }
      if (agreed >= kLooks && copy_of_[b] < 0) {
        copy_of_[b] = static_cast<int>(a);
      }
    }
  }
}

}  // namespace brink::taps
