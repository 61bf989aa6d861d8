#include "io/live/play_memory.h"

#include <algorithm>
#include <new>

namespace brink::io {
namespace {

constexpr std::size_t kSamplesBegin = (sizeof(PlayHeader) + 63) / 64 * 64;

float* samples_of(PlayHeader* header) noexcept {
  return reinterpret_cast<float*>(reinterpret_cast<char*>(header) + kSamplesBegin);
}

}  // namespace

PlayMemory::PlayMemory(double sample_rate_hz, std::span<const float> samples)
    : memory_("brink-play", kSamplesBegin + samples.size_bytes()),
      header_(new (memory_.data()) PlayHeader) {
  header_->sample_rate_hz = sample_rate_hz;
  header_->sample_count = samples.size();
  std::copy(samples.begin(), samples.end(), samples_of(header_));
}

PlayMemory::PlayMemory(int descriptor)
    : memory_(descriptor, kSamplesBegin), header_(static_cast<PlayHeader*>(memory_.data())) {}

std::span<const float> PlayMemory::samples() const noexcept {
  const std::size_t held = (memory_.bytes() - kSamplesBegin) / sizeof(float);
  return {samples_of(header_), std::min<std::size_t>(header_->sample_count, held)};
}

}  // namespace brink::io
