#include "taps/copies.h"

#include <cmath>

namespace brink::taps {
namespace {

constexpr std::int64_t kLookSamples = 1024;
constexpr double kSilenceLin = 1e-4;  // a mean level below -80 dBFS says nothing
// What two microphones never reach: their noise alone is more than -50 dB of the sound. A copy at
// another level differs by rounding.
constexpr double kMostUnlike = 1e-5;

/// What one tap carried in a look.
struct Sound {
  std::vector<float> samples;
  double power = 0.0;  ///< summed over them
};

std::vector<Sound> sounds_of(const TapHistory& history, std::int64_t from) {
  std::vector<Sound> sounds(history.tap_count());
  for (std::size_t tap = 0; tap < sounds.size(); ++tap) {
    Sound& sound = sounds[tap];
    sound.samples.reserve(kLookSamples);
    for (std::int64_t n = 0; n < kLookSamples; ++n) {
      const float sample = history.sample(tap, from + n);
      sound.samples.push_back(sample);
      sound.power += static_cast<double>(sample) * static_cast<double>(sample);
    }
  }
  return sounds;
}

/// In how many looks in a row two taps have agreed, after `agreed` before this one.
int agreed_after(const Sound& a, const Sound& b, int agreed) noexcept {
  constexpr double kLeastPower = kSilenceLin * kSilenceLin * kLookSamples;
  if (a.power < kLeastPower || b.power < kLeastPower) {
    return a.power == 0.0 && b.power == 0.0 ? agreed : 0;
  }
  double both = 0.0;
  for (std::size_t n = 0; n < a.samples.size(); ++n) {
    both += static_cast<double>(a.samples[n]) * static_cast<double>(b.samples[n]);
  }
  return 1.0 - both * both / (a.power * b.power) < kMostUnlike ? agreed + 1 : 0;
}

}  // namespace

Copies::Copies(std::size_t tap_count) : agreed_(tap_count * tap_count), copy_of_(tap_count, -1) {}

void Copies::look(const TapHistory& history) {
  const auto pause = static_cast<std::int64_t>(kPauseS * history.sample_rate_hz());
  if (history.sample_count() < next_look_ + kLookSamples) {
    return;
  }
  const std::vector<Sound> sounds = sounds_of(history, next_look_);
  next_look_ += pause;
  const std::size_t taps = sounds.size();
  for (std::size_t b = 1; b < taps; ++b) {
    copy_of_[b] = -1;
    for (std::size_t a = 0; a < b; ++a) {
      int& agreed = agreed_[b * taps + a];
      agreed = agreed_after(sounds[a], sounds[b], agreed);
      if (agreed >= kLooks && copy_of_[b] < 0) {
        copy_of_[b] = static_cast<int>(a);
      }
    }
  }
}

}  // namespace brink::taps
