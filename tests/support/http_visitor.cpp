#include "support/http_visitor.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <stdexcept>
#include <utility>

namespace brink::tests {

HttpVisitor::HttpVisitor(int port, int receive_bytes)
    : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)), port_(port) {
  if (receive_bytes > 0) {
    ::setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &receive_bytes, sizeof receive_bytes);
  }
  sockaddr_in place{};
  place.sin_family = AF_INET;
  place.sin_port = htons(static_cast<std::uint16_t>(port));
  place.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  if (::connect(socket_, reinterpret_cast<const sockaddr*>(&place), sizeof place) != 0) {
    ::close(socket_);
    throw std::runtime_error("nobody listens");
  }
}

HttpVisitor::~HttpVisitor() {
  if (socket_ >= 0) {
    ::close(socket_);
  }
}

HttpVisitor::HttpVisitor(HttpVisitor&& other) noexcept
    : socket_(std::exchange(other.socket_, -1)),
      port_(other.port_),
      unread_(std::move(other.unread_)),
      is_over_(other.is_over_) {}

bool HttpVisitor::send(std::string_view bytes) const {
  while (!bytes.empty()) {
    const ssize_t count = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (count <= 0) {
      return false;
    }
    bytes.remove_prefix(static_cast<std::size_t>(count));
  }
  return true;
}

bool HttpVisitor::get(const std::string& target, const std::string& more_headers) const {
  return send("GET " + target + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port_) + "\r\n" +
              more_headers + "\r\n");
}

bool HttpVisitor::read_some(double patience_s) {
  pollfd file{socket_, POLLIN, 0};
  if (is_over_ || ::poll(&file, 1, static_cast<int>(1000.0 * patience_s)) <= 0) {
    return false;
  }
  std::array<char, 65536> bytes{};
  const ssize_t count = ::recv(socket_, bytes.data(), bytes.size(), 0);
  is_over_ = count <= 0;
  if (count > 0) {
    unread_.append(bytes.data(), static_cast<std::size_t>(count));
  }
  return count > 0;
}

std::optional<std::string> HttpVisitor::read_all(double patience_s) {
  while (read_some(patience_s)) {
  }
  return is_over_ ? std::optional(std::exchange(unread_, {})) : std::nullopt;
}

std::string HttpVisitor::read_until(std::string_view end, double patience_s) {
  std::size_t at = 0;
  while ((at = unread_.find(end)) == std::string::npos) {
    if (!read_some(patience_s)) {
      return {};
    }
  }
  std::string all = unread_.substr(0, at + end.size());
  unread_.erase(0, at + end.size());
  return all;
}

}  // namespace brink::tests
