#include <malloc.h>
#include <unistd.h>

#include <csignal>

#include "io/process.h"

namespace brink::io {

std::string this_program() {
  return "/proc/self/exe";
}

void end_process(int signal) noexcept {
  struct sigaction usual {};

  usual.sa_handler = SIG_DFL;
  sigaction(signal, &usual, nullptr);
  ::raise(signal);  // in its own handler it comes at the return
}

void give_back_large_memory() noexcept {
#ifdef M_MMAP_THRESHOLD
  // The usual value; that it is set keeps the library from raising it to 32 MiB.
  constexpr int kLargeBytes = 128 * 1024;
  mallopt(M_MMAP_THRESHOLD, kLargeBytes);  // NOLINT(concurrency-mt-unsafe): before any thread
#endif
}

}  // namespace brink::io
