#include "io/osc_sender.h"

#include <fmt/format.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <vector>

#include "base/error.h"
#include "base/printable.h"

namespace brink::io {

// The library makes the messages but does not send them: Debian's knows no IPv6.
OscSender::OscSender(const std::string& target)
    : target_(target, "--osc"), socket_(::socket(target_.family(), SOCK_DGRAM | SOCK_CLOEXEC, 0)) {
  if (socket_ < 0) {
    throw base::Error(fmt::format("--osc: nothing can be sent to '{}' ({}).",
                                  base::printable(target),
                                  std::generic_category().message(errno)));
  }
  const int is_allowed = 1;  // to an address that every machine of the network hears
  (void)::setsockopt(socket_, SOL_SOCKET, SO_BROADCAST, &is_allowed, sizeof is_allowed);
}

OscSender::~OscSender() {
  ::close(socket_);
}

bool OscSender::send(const std::string& address, std::span<const OscValue> values) {
  const std::vector<char> packet = osc_packet(address, values);
  if (packet.empty()) {
    errno = ENOMEM;
    return false;
  }
  const ssize_t sent = ::sendto(socket_,
                                packet.data(),
                                packet.size(),
                                MSG_NOSIGNAL | MSG_DONTWAIT,
                                target_.address(),
                                target_.bytes());
  return sent == static_cast<ssize_t>(packet.size());
}

}  // namespace brink::io
