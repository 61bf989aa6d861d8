#pragma once

#include <cstdint>

#include "base/realtime.h"
#include "io/live/capture_memory.h"

namespace brink::io {

/// The work of the audio callback: it copies the taps of each block into the ring buffer and counts
/// what found no room. Lost samples are told to the reader as a SampleGap, placed before the first
/// sample after the gap. It never allocates, locks, waits or calls the system. [audio]
class CaptureWriter {
 public:
  explicit CaptureWriter(const CaptureMemory& memory) noexcept;

  /// `block`: `sample_count` samples of each of the device's channels, interleaved. nullptr stands
  /// for a block that the device could not fill; it counts as lost.
  void on_block(const float* block, std::size_t sample_count) noexcept BRINK_NONBLOCKING;

  /// The device lost samples and does not say how many.
  void on_gap_report() noexcept BRINK_NONBLOCKING;

 private:
  [[nodiscard]] bool tell_gap() noexcept BRINK_NONBLOCKING;
  void copy(const float* block,
            const base::RingBuffer<float>::Halves& space) const noexcept BRINK_NONBLOCKING;

  CaptureHeader* header_;
  base::RingBuffer<float> samples_;
  base::RingBuffer<SampleGap> gaps_;
  std::uint64_t untold_samples_ = 0;  // lost since the last SampleGap
};

}  // namespace brink::io
