#include "io/live/capture_writer.h"

namespace brink::io {

CaptureWriter::CaptureWriter(const CaptureMemory& memory) noexcept
    : header_(&memory.header()), samples_(memory.samples()), gaps_(memory.gaps()) {}

bool CaptureWriter::tell_gap() noexcept BRINK_NONBLOCKING {
  if (untold_samples_ > 0 && !gaps_.push(SampleGap{samples_.written(), untold_samples_})) {
    return false;
  }
  untold_samples_ = 0;
  return true;
}

void CaptureWriter::copy(const float* block, const base::RingBuffer<float>::Halves& space)
    const noexcept BRINK_NONBLOCKING {
  const CaptureRequest& request = header_->request;
  const float* sample = block;
  std::uint32_t tap = 0;
  // The two halves are treated as one stretch, because the end of the first may lie between two
  // taps of one sample.
  for (const std::span<float>& half : space) {
    for (float& place : half) {
      place = sample[request.channels[tap]];
      if (++tap == request.tap_count) {
        tap = 0;
        sample += request.channel_count;
      }
    }
  }
}

void CaptureWriter::on_block(const float* block,
                             std::size_t sample_count) noexcept BRINK_NONBLOCKING {
  header_->block_count.fetch_add(1, std::memory_order_relaxed);
  const std::size_t float_count = sample_count * header_->request.tap_count;
  const base::RingBuffer<float>::Halves space = samples_.space(float_count);
  const bool fits = space[0].size() + space[1].size() == float_count;
  if (block == nullptr || !fits || !tell_gap()) {
    untold_samples_ += sample_count;
    header_->lost_samples.fetch_add(sample_count, std::memory_order_relaxed);
    return;
  }
  copy(block, space);
  samples_.publish(float_count);
}

void CaptureWriter::on_gap_report() noexcept BRINK_NONBLOCKING {
  header_->gap_reports.fetch_add(1, std::memory_order_relaxed);
}

}  // namespace brink::io
