#pragma once

#include <cstdint>
#include <span>

#include "base/realtime.h"
#include "io/live/play_memory.h"

namespace brink::io {

/// What the audio callback of the output does: silence until it is asked to play, then the samples
/// behind a ramp, a level and a hard ceiling. A stop, a new beginning and the end of the samples
/// ramp down first. A NaN or an infinity is silence. Never allocates, locks, waits or calls the
/// system. [audio]
class PlayVoice {
 public:
  /// `samples` at the device's rate, which is `device_rate_hz`; positions in `header` are of the
  /// sound's own rate. Both must outlive this.
  PlayVoice(PlayHeader& header, std::span<const float> samples, double device_rate_hz) noexcept;

  /// The next `sample_count` samples for each of `channels` channels, in turn, the same in all.
  void fill(float* block,
            std::size_t sample_count,
            std::size_t channels) noexcept BRINK_NONBLOCKING;

 private:
  float next(bool is_wanted, float level_lin) noexcept BRINK_NONBLOCKING;
  void begin(std::uint64_t play) noexcept BRINK_NONBLOCKING;

  PlayHeader* header_;
  std::span<const float> samples_;
  double device_over_own_rate_;
  float up_step_;
  float down_step_;
  float ceiling_lin_;
  std::uint64_t play_ = 0;    // of header_->plays, the one that sounds
  std::size_t at_ = 0;        // in samples_
  bool is_sounding_ = false;  // something is being played, or ramps down
  float ramp_ = 0.0F;         // 0 to 1
  float level_lin_ = 0.0F;
};

}  // namespace brink::io
