#include "cli/standard_streams.h"

#include <fcntl.h>
#include <unistd.h>

namespace brink::cli {
namespace {

/// -1 when it is closed.
int access_mode(int descriptor) noexcept {
  const int flags = fcntl(descriptor, F_GETFL);
  return flags < 0 ? -1 : flags & O_ACCMODE;
}

}  // namespace

void fill_closed_streams() noexcept {
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

bool has_stdout() noexcept {
  const int mode = access_mode(STDOUT_FILENO);
  return mode == O_WRONLY || mode == O_RDWR;
}

}  // namespace brink::cli
