#include "io/osc_sender.h"

#include <fmt/format.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "io/udp_address.h"

namespace brink::io {

struct OscSender::State {
  UdpAddress target;
  int socket = -1;

  explicit State(const std::string& text)
      : target(text, "--osc"), socket(::socket(target.family(), SOCK_DGRAM | SOCK_CLOEXEC, 0)) {}

  ~State() {
    if (socket >= 0) {
      ::close(socket);
    }
  }

  State(const State&) = delete;
  State& operator=(const State&) = delete;
  State(State&&) = delete;
  State& operator=(State&&) = delete;
};

// The library makes the messages but does not send them: Debian's knows no IPv6.
OscSender::OscSender(const std::string& target) : state_(std::make_unique<State>(target)) {
  if (state_->socket < 0) {
    throw base::Error(fmt::format("--osc: nothing can be sent to '{}' ({}).",
                                  base::printable(target),
                                  std::generic_category().message(errno)));
  }
  const int is_allowed = 1;  // to an address that every machine of the network hears
  (void)::setsockopt(state_->socket, SOL_SOCKET, SO_BROADCAST, &is_allowed, sizeof is_allowed);
}

OscSender::~OscSender() = default;

bool OscSender::send(const std::string& address, std::span<const OscValue> values) {
  const std::vector<char> packet = osc_packet(address, values);
  if (packet.empty()) {
    errno = ENOMEM;
    return false;
  }
  const ssize_t sent = ::sendto(state_->socket,
                                packet.data(),
                                packet.size(),
                                MSG_NOSIGNAL | MSG_DONTWAIT,
                                state_->target.address(),
                                state_->target.bytes());
  return sent == static_cast<ssize_t>(packet.size());
}

}  // namespace brink::io
