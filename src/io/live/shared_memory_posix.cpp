#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "base/error.h"
#include "io/live/shared_memory.h"

namespace brink::io {
namespace {

[[noreturn]] void refuse(const char* what) {
  throw base::Error(fmt::format("No memory for live sound could be had ({}: {}).",
                                what,
                                std::generic_category().message(errno)));
}

}  // namespace

SharedMemory::SharedMemory(const char* name, std::size_t bytes)
    : descriptor_(memfd_create(name, MFD_CLOEXEC)), bytes_(bytes) {
  if (descriptor_ < 0 || ftruncate(descriptor_, static_cast<off_t>(bytes)) != 0) {
    refuse("making it");
  }
  map();
}

SharedMemory::SharedMemory(int descriptor, std::size_t least_bytes) : descriptor_(descriptor) {
  struct stat facts {};

  if (fstat(descriptor_, &facts) != 0 || static_cast<std::size_t>(facts.st_size) < least_bytes) {
    refuse("looking at it");
  }
  bytes_ = static_cast<std::size_t>(facts.st_size);
  map();
}

SharedMemory::~SharedMemory() {
  if (data_ != nullptr) {
    munmap(data_, bytes_);
  }
  if (descriptor_ >= 0) {
    ::close(descriptor_);
  }
}

void SharedMemory::map() {
  // All pages are loaded at once. In the audio callback a page fault would be a wait too.
  void* const start =
      mmap(nullptr, bytes_, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_POPULATE, descriptor_, 0);
  if (start == MAP_FAILED) {
    refuse("mapping it");
  }
  data_ = start;
}

}  // namespace brink::io
