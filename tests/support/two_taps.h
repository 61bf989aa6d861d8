#pragma once

#include <cstddef>
#include <vector>

namespace brink::tests {

/// A path from a loudspeaker to a microphone: so many samples late, so strong.
struct SoundPath {
  std::size_t lag;
  float gain;
};

/// The two taps of a loop.
struct TwoTaps {
  std::vector<float> microphone;
  std::vector<float> feed;
};

/// A microphone hears `own` and, over the paths, the feed; the feed is `console` times the
/// microphone, and `other`, of equal length.
inline TwoTaps run_two_taps(const std::vector<float>& own,
                            const std::vector<float>& other,
                            const std::vector<SoundPath>& paths,
                            float console) {
  TwoTaps taps{own, other};
  for (std::size_t n = 0; n < own.size(); ++n) {
    for (const SoundPath& path : paths) {
      taps.microphone[n] += n >= path.lag ? path.gain * taps.feed[n - path.lag] : 0.0F;
    }
    taps.feed[n] += console * taps.microphone[n];
  }
  return taps;
}

}  // namespace brink::tests
