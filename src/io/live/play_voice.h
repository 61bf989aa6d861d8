#pragma once

#include <cstdint>
#include <span>

#include "base/realtime.h"
#include "io/live/play_memory.h"

namespace brink::io {

/// The work of the output's audio callback. It is silent until it is asked to play. Then it gives
/// the samples with a ramp, a level and a fixed peak limit. Before a stop, a new start and the end
/// of the samples it ramps down. NaN and infinity become silence. It never allocates, locks, waits
/// or calls the system. [audio]
class PlayVoice {
 public:
  /// `samples` are at the device's rate, `device_rate_hz`. Positions in `header` are at the sound's
  /// own rate. Both must outlive this object.
  PlayVoice(PlayHeader& header, std::span<const float> samples, double device_rate_hz) noexcept;

  /// The next `sample_count` samples of `channels` channels, interleaved. All channels are the
  /// same.
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
  std::uint64_t play_ = 0;    // number of the present play, as in header_->plays
  std::size_t at_ = 0;        // position in samples_
  bool is_sounding_ = false;  // a sound plays or ramps down
  float ramp_ = 0.0F;         // 0 to 1
  float level_lin_ = 0.0F;
};

}  // namespace brink::io
