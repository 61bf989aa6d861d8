#include "io/live/capture_memory.h"

#include <algorithm>
#include <new>

namespace brink::io {
namespace {

/// 2^20 floats for one tap are 22 s at 48 kHz and 5.5 s at 192 kHz. No pause of the other side that
/// is longer is worth bridging. The total is 64 MiB at most, which many taps share.
constexpr std::size_t kFloatsPerTap = std::size_t{1} << 20U;
constexpr std::size_t kMostFloats = std::size_t{1} << 24U;

std::size_t floats_begin() noexcept {
  return (sizeof(CaptureHeader) + base::RingPositions::kCacheLineBytes - 1) /
         base::RingPositions::kCacheLineBytes * base::RingPositions::kCacheLineBytes;
}

std::size_t capacity_for(const CaptureRequest& request) noexcept {
  return base::ring_capacity(std::min(kMostFloats, request.tap_count * kFloatsPerTap));
}

}  // namespace

CaptureMemory::CaptureMemory(const CaptureRequest& request)
    : memory_("brink-capture", floats_begin() + capacity_for(request) * sizeof(float)),
      header_(new (memory_.data()) CaptureHeader) {
  header_->request = request;
  header_->capacity_floats = capacity_for(request);
}

CaptureMemory::CaptureMemory(int descriptor)
    : memory_(descriptor, floats_begin() + 1),
      header_(static_cast<CaptureHeader*>(memory_.data())) {}

base::RingBuffer<float> CaptureMemory::samples() const noexcept {
  auto* const first = reinterpret_cast<float*>(reinterpret_cast<char*>(header_) + floats_begin());
  return {header_->sample_positions, std::span(first, header_->capacity_floats)};
}

base::RingBuffer<SampleGap> CaptureMemory::gaps() const noexcept {
  return {header_->gap_positions, header_->gaps};
}

}  // namespace brink::io
