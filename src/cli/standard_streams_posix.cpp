#include <fcntl.h>
#include <unistd.h>

#include <csignal>

#include "cli/standard_streams.h"

namespace brink::cli {
namespace {

/// -1 when it is closed.
int access_mode(int descriptor) noexcept {
  const int flags = fcntl(descriptor, F_GETFL);
  return flags < 0 ? -1 : flags & O_ACCMODE;
}

}  // namespace

void prepare_streams() noexcept {
  std::signal(SIGPIPE, SIG_IGN);  // NOLINT(cert-err33-c): a reader that leaves shows as EPIPE
  std::signal(SIGXFSZ, SIG_IGN);  // NOLINT(cert-err33-c): a file that may not grow shows as EFBIG
  for (int descriptor = STDIN_FILENO; descriptor <= STDERR_FILENO; ++descriptor) {
    if (access_mode(descriptor) < 0) {
      // The lowest number that is free is this one, as those below it are taken.
      (void)open("/dev/null", descriptor == STDIN_FILENO ? O_WRONLY : O_RDONLY);
    }
  }
}

bool has_stdin() noexcept {
  const int mode = access_mode(STDIN_FILENO);
  return mode == O_RDONLY || mode == O_RDWR;
}

bool is_terminal(int file) noexcept {
  return isatty(file) == 1;
}

bool has_stdout() noexcept {
  const int mode = access_mode(STDOUT_FILENO);
  return mode == O_WRONLY || mode == O_RDWR;
}

}  // namespace brink::cli
