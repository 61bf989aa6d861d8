#include "io/capture_memory.h"

#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <new>
#include <system_error>

#include "core/error.h"

namespace brink::io {
namespace {

/// 2^20 floats of a tap are 22 s at 48 kHz and 5.5 s at 192 kHz: longer than any pause of the
/// other side that is worth bridging. 64 MiB in all, so that many taps share what there is.
constexpr std::size_t kFloatsPerTap = std::size_t{1} << 20U;
constexpr std::size_t kMostFloats = std::size_t{1} << 24U;

[[noreturn]] void refuse(const char* what) {
  throw core::Error(fmt::format("No memory for capturing sound could be had ({}: {}).",
                                what,
                                std::generic_category().message(errno)));
}

std::size_t floats_begin() noexcept {
  return (sizeof(CaptureHeader) + RingPositions::kCacheLineBytes - 1) /
         RingPositions::kCacheLineBytes * RingPositions::kCacheLineBytes;
}

}  // namespace

CaptureMemory::CaptureMemory(const CaptureRequest& request) {
  const std::size_t capacity =
      ring_capacity(std::min(kMostFloats, request.tap_count * kFloatsPerTap));
  descriptor_ = memfd_create("brink-capture", MFD_CLOEXEC);
  const std::size_t bytes = floats_begin() + capacity * sizeof(float);
  if (descriptor_ < 0 || ftruncate(descriptor_, static_cast<off_t>(bytes)) != 0) {
    refuse("making it");
  }
  map(bytes);
  new (header_) CaptureHeader;
  header_->request = request;
  header_->capacity_floats = capacity;
}

CaptureMemory::CaptureMemory(int descriptor) : descriptor_(descriptor) {
  struct stat facts {};

  if (fstat(descriptor_, &facts) != 0 ||
      static_cast<std::size_t>(facts.st_size) <= floats_begin()) {
    refuse("looking at it");
  }
  map(static_cast<std::size_t>(facts.st_size));
}

CaptureMemory::~CaptureMemory() {
  if (header_ != nullptr) {
    munmap(header_, bytes_);
  }
  if (descriptor_ >= 0) {
    ::close(descriptor_);
  }
}

void CaptureMemory::map(std::size_t bytes) {
  // All pages at once: a page fault in the audio callback is a wait like any other.
  void* const start =
      mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_POPULATE, descriptor_, 0);
  if (start == MAP_FAILED) {
    refuse("mapping it");
  }
  bytes_ = bytes;
  header_ = static_cast<CaptureHeader*>(start);
}

RingBuffer<float> CaptureMemory::samples() const noexcept {
  auto* const first = reinterpret_cast<float*>(reinterpret_cast<char*>(header_) + floats_begin());
  return {header_->sample_positions, std::span(first, header_->capacity_floats)};
}

RingBuffer<SampleGap> CaptureMemory::gaps() const noexcept {
  return {header_->gap_positions, header_->gaps};
}

}  // namespace brink::io
