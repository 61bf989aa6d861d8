#include <poll.h>
#include <unistd.h>

#include <cerrno>

#include "io/waiting.h"

namespace brink::io {

struct WaitedInput::State {
  int file = -1;
};

WaitedInput::WaitedInput(int file) : state_(std::make_unique<State>(State{file})) {}

WaitedInput::~WaitedInput() = default;

WaitedInput::Outcome WaitedInput::read(void* bytes,
                                       std::size_t most,
                                       int patience_ms,
                                       std::size_t& count) {
  count = 0;
  pollfd file{state_->file, POLLIN, 0};
  const int ready = ::poll(&file, 1, patience_ms);
  if (ready <= 0) {
    return ready == 0 || errno == EINTR ? Outcome::kNothingYet : Outcome::kEnd;
  }
  const ssize_t got = ::read(state_->file, bytes, most);
  if (got > 0) {
    count = static_cast<std::size_t>(got);
    return Outcome::kBytes;
  }
  return got < 0 && (errno == EINTR || errno == EAGAIN) ? Outcome::kNothingYet : Outcome::kEnd;
}

bool has_reader(int file) noexcept {
  pollfd output{file, 0, 0};
  (void)::poll(&output, 1, 0);
  return (output.revents & (POLLERR | POLLHUP)) == 0;
}

}  // namespace brink::io
