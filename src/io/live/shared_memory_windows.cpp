#include <fmt/format.h>
#include <windows.h>

#include <system_error>

#include "base/error.h"
#include "io/live/shared_memory.h"
#include "io/windows_text.h"

namespace brink::io {
namespace {

// The system's handles have 32 bits that count, in every process.
HANDLE to_handle(int descriptor) noexcept {
  return reinterpret_cast<HANDLE>(static_cast<std::intptr_t>(descriptor));
}

[[noreturn]] void refuse(const char* what) {
  throw base::Error(fmt::format("No memory for live sound could be had ({}: {}).",
                                what,
                                std::generic_category().message(last_fault())));
}

}  // namespace

SharedMemory::SharedMemory(const char* /*name*/, std::size_t bytes) : bytes_(bytes) {
  SECURITY_ATTRIBUTES inherited{sizeof inherited, nullptr, TRUE};
  const std::uint64_t size = bytes;
  const HANDLE memory = CreateFileMappingW(INVALID_HANDLE_VALUE,
                                           &inherited,
                                           PAGE_READWRITE,
                                           static_cast<DWORD>(size >> 32U),
                                           static_cast<DWORD>(size),
                                           nullptr);
  if (memory == nullptr) {
    refuse("making it");
  }
  descriptor_ = static_cast<int>(reinterpret_cast<std::intptr_t>(memory));
  map();
}

SharedMemory::SharedMemory(int descriptor, std::size_t least_bytes) : descriptor_(descriptor) {
  map();
  MEMORY_BASIC_INFORMATION facts{};
  VirtualQuery(data_, &facts, sizeof facts);
  if (facts.RegionSize < least_bytes) {
    refuse("looking at it");
  }
  bytes_ = facts.RegionSize;
}

SharedMemory::~SharedMemory() {
  if (data_ != nullptr) {
    UnmapViewOfFile(data_);
  }
  if (descriptor_ >= 0) {
    CloseHandle(to_handle(descriptor_));
  }
}

void SharedMemory::map() {
  data_ = MapViewOfFile(to_handle(descriptor_), FILE_MAP_ALL_ACCESS, 0, 0, bytes_);
  if (data_ == nullptr) {
    refuse("mapping it");
  }
  // All pages are loaded at once. In the audio callback a page fault would be a wait too.
  WIN32_MEMORY_RANGE_ENTRY all{data_, bytes_};
  (void)PrefetchVirtualMemory(GetCurrentProcess(), 1, &all, 0);
}

}  // namespace brink::io
