#include "io/page/request_stream.h"

#include <poll.h>
#include <sys/socket.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <utility>

namespace brink::io {

RequestStream::RequestStream(WholeRequest request, double patience_s)
    : request_(std::move(request)), patience_s_(patience_s) {
  // A reader that falls behind is noticed after about a second of states, and does not get old ones
  // for long. Twice this much is what Linux takes.
  const int bytes = 16384;
  (void)::setsockopt(request_.socket.descriptor(), SOL_SOCKET, SO_SNDBUF, &bytes, sizeof bytes);
}

ssize_t RequestStream::read(char* bytes, std::size_t size) {
  const std::size_t count = std::min(size, request_.head.size() - at_);
  std::copy_n(request_.head.data() + at_, count, bytes);
  at_ += count;
  return static_cast<ssize_t>(count);
}

ssize_t RequestStream::write(const char* bytes, std::size_t size) {
  using Clock = std::chrono::steady_clock;
  const auto end = Clock::now() + std::chrono::duration<double>(patience_s_);
  std::size_t sent = 0;
  while (sent < size && !is_broken_) {
    const ssize_t count =
        ::send(request_.socket.descriptor(), bytes + sent, size - sent, MSG_NOSIGNAL);
    if (count > 0) {
      sent += static_cast<std::size_t>(count);
    } else if (errno == EAGAIN || errno == EWOULDBLOCK) {
      const auto left = std::chrono::ceil<std::chrono::milliseconds>(end - Clock::now());
      pollfd file{request_.socket.descriptor(), POLLOUT, 0};
      is_broken_ = left.count() <= 0 || ::poll(&file, 1, static_cast<int>(left.count())) == 0;
    } else {
      is_broken_ = errno != EINTR;
    }
  }
  return is_broken_ ? -1 : static_cast<ssize_t>(size);
}

void RequestStream::finish() noexcept {
  (void)::shutdown(request_.socket.descriptor(), SHUT_WR);
}

}  // namespace brink::io
