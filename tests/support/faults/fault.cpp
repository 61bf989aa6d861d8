#include "support/faults/fault.h"

#include <dlfcn.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstdarg>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <new>

namespace {

using brink::tests::FaultKind;

std::atomic<FaultKind> kind = FaultKind::kNone;
std::atomic<long> number = 0;
std::atomic<long> count = 0;  // of what kFull, kBroken, kClock and kMemory count
std::atomic<bool> is_met = false;
std::atomic<bool> is_every_thread = false;
std::atomic<long> blocks = 0;
thread_local bool is_meant_thread = false;

/// The C library's own function of this name.
template <typename Function>
Function* real(const char* name) {
  return reinterpret_cast<Function*>(dlsym(RTLD_NEXT, name));
}

void set(FaultKind wanted, long wanted_number) {
  count = 0;
  is_met = false;
  number = wanted_number;
  kind = wanted;
}

/// As a preloaded library.
[[gnu::constructor]] void read_environment() {
  const char* const text = std::getenv("BRINK_FAULT");  // NOLINT(concurrency-mt-unsafe): first
  const char* const colon = text == nullptr ? nullptr : std::strchr(text, ':');
  if (colon == nullptr) {
    return;
  }

  struct Word {
    const char* word;
    FaultKind kind;
  };

  constexpr Word kWords[] = {{"full:", FaultKind::kFull},
                             {"broken:", FaultKind::kBroken},
                             {"short:", FaultKind::kShort},
                             {"locks:", FaultKind::kLocks},
                             {"clock:", FaultKind::kClock},
                             {"memory:", FaultKind::kMemory}};
  for (const Word& word : kWords) {
    if (std::strncmp(text, word.word, std::strlen(word.word)) == 0) {
      is_every_thread = true;
      set(word.kind, std::strtol(colon + 1, nullptr, 10));
    }
  }
}

void meet() {
  if (is_met.exchange(true)) {
    return;
  }
  const char* const path = std::getenv("BRINK_FAULT_MET");  // NOLINT(concurrency-mt-unsafe)
  if (path != nullptr) {
    const int saved = errno;
    close(open(path, O_CREAT | O_WRONLY | O_CLOEXEC, 0600));
    errno = saved;
  }
}

bool is_regular(int file) {
  struct stat facts {};

  return fstat(file, &facts) == 0 && S_ISREG(facts.st_mode);
}

/// Whether this write to the file is refused; then errno says why.
bool is_write_refused(int file) {
  const FaultKind now = kind;
  const bool is_meant = now == FaultKind::kFull || now == FaultKind::kBroken;
  if (!is_meant || !is_regular(file) || ++count < number) {
    return false;
  }
  meet();
  errno = now == FaultKind::kFull ? ENOSPC : EIO;
  return true;
}

bool is_sync_refused(int file) {
  return kind == FaultKind::kBroken && is_write_refused(file);
}

/// How much of a read is allowed; 0: it is interrupted first.
std::size_t allowed(std::size_t bytes) {
  static thread_local bool is_interrupted = false;
  if (kind != FaultKind::kShort || bytes == 0) {
    return bytes;
  }
  meet();
  is_interrupted = !is_interrupted;
  return is_interrupted ? 0 : std::min(bytes, static_cast<std::size_t>(number.load()));
}

ssize_t interrupt() {
  errno = EINTR;
  return -1;
}

bool is_memory_refused() {
  if (kind != FaultKind::kMemory || !(is_meant_thread || is_every_thread) || ++count != number) {
    return false;
  }
  meet();
  return true;
}

/// A preloaded library leaves malloc alone: what the system's own libraries do without memory is
/// not the program's doing.
bool is_c_memory_refused() {
  if (is_every_thread || !is_memory_refused()) {
    return false;
  }
  errno = ENOMEM;
  return true;
}

}  // namespace

namespace brink::tests {

Fault::Fault(FaultKind wanted, long wanted_number) {
  is_meant_thread = true;
  set(wanted, wanted_number);
}

Fault::~Fault() {
  kind = FaultKind::kNone;
  is_meant_thread = false;
}

bool Fault::was_met() {
  return is_met;
}

long blocks_in_use() {
  return blocks;
}

}  // namespace brink::tests

// Functions with the C library's names, so that the linker takes these.
// NOLINTBEGIN(readability-identifier-naming,readability-inconsistent-declaration-parameter-name,bugprone-reserved-identifier)
extern "C" {

void* __libc_malloc(std::size_t);
void* __libc_calloc(std::size_t, std::size_t);
void* __libc_realloc(void*, std::size_t);

void* malloc(std::size_t bytes) {
  return is_c_memory_refused() ? nullptr : __libc_malloc(bytes);
}

void* calloc(std::size_t members, std::size_t bytes) {
  return is_c_memory_refused() ? nullptr : __libc_calloc(members, bytes);
}

void* realloc(void* block, std::size_t bytes) {
  return is_c_memory_refused() ? nullptr : __libc_realloc(block, bytes);
}

ssize_t write(int file, const void* bytes, std::size_t size) {
  static auto* const behind = real<decltype(write)>("write");
  return is_write_refused(file) ? -1 : behind(file, bytes, size);
}

ssize_t writev(int file, const iovec* parts, int part_count) {
  static auto* const behind = real<decltype(writev)>("writev");
  return is_write_refused(file) ? -1 : behind(file, parts, part_count);
}

ssize_t pwrite64(int file, const void* bytes, std::size_t size, off64_t at) {
  static auto* const behind = real<decltype(pwrite64)>("pwrite64");
  return is_write_refused(file) ? -1 : behind(file, bytes, size, at);
}

ssize_t pwrite(int file, const void* bytes, std::size_t size, off_t at) {
  return pwrite64(file, bytes, size, at);
}

int posix_fallocate64(int file, off64_t at, off64_t bytes) {
  static auto* const behind = real<decltype(posix_fallocate64)>("posix_fallocate64");
  return is_write_refused(file) ? errno : behind(file, at, bytes);
}

int posix_fallocate(int file, off_t at, off_t bytes) {
  return posix_fallocate64(file, at, bytes);
}

int fsync(int file) {
  static auto* const behind = real<decltype(fsync)>("fsync");
  return is_sync_refused(file) ? -1 : behind(file);
}

int fdatasync(int file) {
  static auto* const behind = real<decltype(fdatasync)>("fdatasync");
  return is_sync_refused(file) ? -1 : behind(file);
}

ssize_t read(int file, void* bytes, std::size_t size) {
  static auto* const behind = real<decltype(read)>("read");
  const std::size_t most = allowed(size);
  return most == 0 && size > 0 ? interrupt() : behind(file, bytes, most);
}

ssize_t pread64(int file, void* bytes, std::size_t size, off64_t at) {
  static auto* const behind = real<decltype(pread64)>("pread64");
  const std::size_t most = allowed(size);
  return most == 0 && size > 0 ? interrupt() : behind(file, bytes, most, at);
}

ssize_t pread(int file, void* bytes, std::size_t size, off_t at) {
  return pread64(file, bytes, size, at);
}

int fcntl64(int file, int what, ...) {
  static auto* const behind = real<int(int, int, ...)>("fcntl64");
  va_list list;
  va_start(list, what);
  void* const argument = va_arg(list, void*);
  va_end(list);
  const bool is_lock =
      what == F_SETLK || what == F_GETLK || what == F_OFD_SETLK || what == F_OFD_GETLK;
  if (is_lock && kind == FaultKind::kLocks) {
    meet();
    errno = static_cast<int>(number);
    return -1;
  }
  return behind(file, what, argument);
}

int fcntl(int file, int what, ...) {
  va_list list;
  va_start(list, what);
  void* const argument = va_arg(list, void*);
  va_end(list);
  return fcntl64(file, what, argument);
}

int clock_gettime(clockid_t clock, timespec* time) {
  static auto* const behind = real<decltype(clock_gettime)>("clock_gettime");
  const int result = behind(clock, time);
  if (result == 0 && clock == CLOCK_REALTIME && kind == FaultKind::kClock) {
    meet();
    time->tv_sec += ++count % 2 == 0 ? 0 : number.load();
  }
  return result;
}
}

// NOLINTEND(readability-identifier-naming,readability-inconsistent-declaration-parameter-name,bugprone-reserved-identifier)

void* operator new(std::size_t bytes) {
  void* const block = is_memory_refused() ? nullptr : __libc_malloc(bytes == 0 ? 1 : bytes);
  if (block == nullptr) {
    throw std::bad_alloc();
  }
  ++blocks;
  return block;
}

void operator delete(void* block) noexcept {
  blocks -= block == nullptr ? 0 : 1;
  std::free(block);
}

void operator delete(void* block, std::size_t /*bytes*/) noexcept {
  operator delete(block);
}
