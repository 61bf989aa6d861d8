#include "support/udp.h"

#include <arpa/inet.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <stdexcept>

namespace brink::tests {

UdpReceiver::UdpReceiver(Kind kind)
    : socket_(socket(kind == Kind::kIpv6 ? AF_INET6 : AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0)) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  sockaddr_in6 address6{};
  address6.sin6_family = AF_INET6;
  address6.sin6_addr = in6addr_loopback;
  const bool is_6 = kind == Kind::kIpv6;
  auto* const any =
      is_6 ? reinterpret_cast<sockaddr*>(&address6) : reinterpret_cast<sockaddr*>(&address);
  socklen_t bytes = is_6 ? sizeof address6 : sizeof address;
  if (bind(socket_, any, bytes) != 0 || getsockname(socket_, any, &bytes) != 0) {
    close(socket_);
    throw std::runtime_error("no UDP port on the loopback");
  }
  port_ = ntohs(is_6 ? address6.sin6_port : address.sin_port);
}

UdpReceiver::~UdpReceiver() {
  close(socket_);
}

std::string UdpReceiver::receive() const {
  pollfd file{socket_, POLLIN, 0};
  std::array<char, 2048> bytes{};
  if (poll(&file, 1, 2000) != 1) {
    return "";
  }
  const ssize_t count = recv(socket_, bytes.data(), bytes.size(), 0);
  return {bytes.data(), count > 0 ? static_cast<std::size_t>(count) : 0};
}

}  // namespace brink::tests
