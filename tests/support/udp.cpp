#include "support/udp.h"

#include <arpa/inet.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <stdexcept>

namespace brink::tests {

UdpReceiver::UdpReceiver() : socket_(socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0)) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t bytes = sizeof address;
  auto* const any = reinterpret_cast<sockaddr*>(&address);
  if (bind(socket_, any, bytes) != 0 || getsockname(socket_, any, &bytes) != 0) {
    throw std::runtime_error("no UDP port on the loopback");
  }
  port_ = ntohs(address.sin_port);
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
