#include "io/udp_address.h"

#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <charconv>
#include <cstring>

#include "base/error.h"
#include "base/printable.h"

namespace brink::io {
namespace {

using base::Error;

struct HostAndPort {
  std::string host;
  std::string port;
};

HostAndPort split(const std::string& text, const std::string& who) {
  const std::size_t colon = text.rfind(':');
  HostAndPort parts;
  if (colon != std::string::npos) {
    parts.host = text.substr(0, colon);
    parts.port = text.substr(colon + 1);
  }
  if (parts.host.size() > 2 && parts.host.front() == '[' && parts.host.back() == ']') {
    parts.host = parts.host.substr(1, parts.host.size() - 2);
  }
  unsigned port = 0;
  const char* const end = parts.port.data() + parts.port.size();
  const auto [stop, error] = std::from_chars(parts.port.data(), end, port);
  constexpr unsigned kHighestPort = 65535;
  if (parts.host.empty() || error != std::errc() || stop != end || port < 1 ||
      port > kHighestPort) {
    throw Error(fmt::format("{} takes HOST:PORT with a port from 1 to {}, not '{}'.",
                            who,
                            kHighestPort,
                            base::printable(text)));
  }
  return parts;
}

}  // namespace

UdpAddress::UdpAddress(const std::string& text, const std::string& who) {
  const HostAndPort parts = split(text, who);
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_DGRAM;
  addrinfo* found = nullptr;
  const int error = getaddrinfo(parts.host.c_str(), parts.port.c_str(), &wanted, &found);
  if (error != 0) {
    throw Error(fmt::format("{}: the host '{}' has no address ({}).",
                            who,
                            base::printable(parts.host),
                            gai_strerror(error)));
  }
  found_.reset(found);
  chosen_ = found;
  for (const addrinfo* one = found; one != nullptr; one = one->ai_next) {
    if (one->ai_family == AF_INET) {
      chosen_ = one;
      break;
    }
  }
}

bool UdpAddress::is_host_of(const sockaddr& other) const noexcept {
  if (other.sa_family != chosen_->ai_family) {
    return false;
  }
  if (other.sa_family == AF_INET) {
    sockaddr_in mine{};
    sockaddr_in theirs{};
    std::memcpy(&mine, chosen_->ai_addr, sizeof mine);
    std::memcpy(&theirs, &other, sizeof theirs);
    return mine.sin_addr.s_addr == theirs.sin_addr.s_addr;
  }
  sockaddr_in6 mine{};
  sockaddr_in6 theirs{};
  std::memcpy(&mine, chosen_->ai_addr, sizeof mine);
  std::memcpy(&theirs, &other, sizeof theirs);
  return std::memcmp(&mine.sin6_addr, &theirs.sin6_addr, sizeof mine.sin6_addr) == 0;
}

}  // namespace brink::io
