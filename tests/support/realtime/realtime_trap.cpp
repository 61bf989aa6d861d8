#include "support/realtime/realtime_trap.h"

#include <dlfcn.h>
#include <fcntl.h>
#include <linux/seccomp.h>
#include <poll.h>
#include <pthread.h>
#include <semaphore.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <ctime>
#include <new>

namespace {

thread_local int depth = 0;
thread_local int violation_count = 0;
thread_local const char* first_name = "";

void note(const char* name) noexcept {
  if (depth > 0 && violation_count++ == 0) {
    first_name = name;
  }
}

/// The C library's own function of this name.
template <typename Function>
Function* real(const char* name, const char* version = nullptr) {
  void* const found =
      version == nullptr ? dlsym(RTLD_NEXT, name) : dlvsym(RTLD_NEXT, name, version);
  return reinterpret_cast<Function*>(found);
}

}  // namespace

// Functions with the C library's names, so that the linker takes these.
// NOLINTBEGIN(readability-identifier-naming,bugprone-reserved-identifier)
extern "C" {

void* __libc_malloc(std::size_t);
void* __libc_calloc(std::size_t, std::size_t);
void* __libc_realloc(void*, std::size_t);
void* __libc_memalign(std::size_t, std::size_t);
void __libc_free(void*);

void* malloc(std::size_t bytes) {
  note("malloc");
  return __libc_malloc(bytes);
}

void* calloc(std::size_t count, std::size_t bytes) {
  note("calloc");
  return __libc_calloc(count, bytes);
}

void* realloc(void* block, std::size_t bytes) {
  note("realloc");
  return __libc_realloc(block, bytes);
}

void* aligned_alloc(std::size_t alignment, std::size_t bytes) {
  note("aligned_alloc");
  return __libc_memalign(alignment, bytes);
}

void free(void* block) {
  if (block != nullptr) {
    note("free");
  }
  __libc_free(block);
}

#define BRINK_TRAP(result, name, parameters, arguments)         \
  result name parameters {                                      \
    note(#name);                                                \
    static auto* const behind = real<result parameters>(#name); \
    return behind arguments;                                    \
  }

// glibc has two versions of the condition functions. The old version cannot read today's objects.
#define BRINK_TRAP_CONDITION(result, name, parameters, arguments)              \
  result name parameters {                                                     \
    note(#name);                                                               \
    static auto* const behind = real<result parameters>(#name, "GLIBC_2.3.2"); \
    return behind arguments;                                                   \
  }

BRINK_TRAP(int, pthread_mutex_lock, (pthread_mutex_t * mutex), (mutex))
BRINK_TRAP(int, pthread_mutex_trylock, (pthread_mutex_t * mutex), (mutex))
BRINK_TRAP(int, pthread_rwlock_rdlock, (pthread_rwlock_t * lock), (lock))
BRINK_TRAP(int, pthread_rwlock_wrlock, (pthread_rwlock_t * lock), (lock))
BRINK_TRAP(int, sem_wait, (sem_t * semaphore), (semaphore))
BRINK_TRAP(int, sem_post, (sem_t * semaphore), (semaphore))
BRINK_TRAP(int, nanosleep, (const timespec* wanted, timespec* left), (wanted, left))
BRINK_TRAP(int,
           clock_nanosleep,
           (clockid_t clock, int flags, const timespec* wanted, timespec* left),
           (clock, flags, wanted, left))
BRINK_TRAP(int, sched_yield, (), ())
BRINK_TRAP(int, poll, (pollfd * files, nfds_t count, int wait_ms), (files, count, wait_ms))
BRINK_TRAP(ssize_t, read, (int file, void* bytes, std::size_t count), (file, bytes, count))
BRINK_TRAP(ssize_t, write, (int file, const void* bytes, std::size_t count), (file, bytes, count))
BRINK_TRAP(int, close, (int file), (file))
#if defined(__x86_64__)
BRINK_TRAP_CONDITION(int, pthread_cond_signal, (pthread_cond_t * condition), (condition))
BRINK_TRAP_CONDITION(int, pthread_cond_broadcast, (pthread_cond_t * condition), (condition))
BRINK_TRAP_CONDITION(int,
                     pthread_cond_wait,
                     (pthread_cond_t * condition, pthread_mutex_t* mutex),
                     (condition, mutex))
#endif
}

// NOLINTEND(readability-identifier-naming,bugprone-reserved-identifier)

void* operator new(std::size_t bytes) {
  note("operator new");
  void* const block = __libc_malloc(bytes == 0 ? 1 : bytes);
  if (block == nullptr) {
    throw std::bad_alloc();
  }
  return block;
}

void* operator new(std::size_t bytes, std::align_val_t alignment) {
  note("operator new");
  void* const block = __libc_memalign(static_cast<std::size_t>(alignment), bytes == 0 ? 1 : bytes);
  if (block == nullptr) {
    throw std::bad_alloc();
  }
  return block;
}

void* operator new[](std::size_t bytes) {
  return operator new(bytes);
}

void* operator new[](std::size_t bytes, std::align_val_t alignment) {
  return operator new(bytes, alignment);
}

void operator delete(void* block) noexcept {
  note("operator delete");
  __libc_free(block);
}

void operator delete[](void* block) noexcept {
  operator delete(block);
}

void operator delete(void* block, std::size_t) noexcept {
  operator delete(block);
}

void operator delete[](void* block, std::size_t) noexcept {
  operator delete(block);
}

void operator delete(void* block, std::align_val_t) noexcept {
  operator delete(block);
}

void operator delete[](void* block, std::align_val_t) noexcept {
  operator delete(block);
}

void operator delete(void* block, std::size_t, std::align_val_t) noexcept {
  operator delete(block);
}

void operator delete[](void* block, std::size_t, std::align_val_t) noexcept {
  operator delete(block);
}

namespace brink::tests {

RealtimeTrap::RealtimeTrap() noexcept {
  violation_count = 0;
  first_name = "";
  ++depth;
}

RealtimeTrap::~RealtimeTrap() {
  --depth;
}

// These are members of the object, although they read what belongs to the thread.
// NOLINTBEGIN(readability-convert-member-functions-to-static)
int RealtimeTrap::violations() const noexcept {
  return violation_count;
}

const char* RealtimeTrap::first() const noexcept {
  return first_name;
}

// NOLINTEND(readability-convert-member-functions-to-static)

bool makes_no_system_call(const std::function<void()>& work) {
  const pid_t child = fork();
  if (child == 0) {
    if (prctl(PR_SET_SECCOMP, SECCOMP_MODE_STRICT) == 0) {
      work();
      syscall(SYS_exit, 0);  // _exit would call exit_group, which is forbidden by now
    }
    _exit(1);
  }
  int state = 0;
  return child > 0 && waitpid(child, &state, 0) == child && WIFEXITED(state) &&
         WEXITSTATUS(state) == 0;
}

}  // namespace brink::tests
