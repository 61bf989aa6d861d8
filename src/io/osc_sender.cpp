#include "io/osc_sender.h"

#include <fmt/format.h>
#include <lo/lo.h>
#include <netdb.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstdlib>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"

namespace brink::io {
namespace {

using base::Error;

struct Target {
  std::string host;
  std::string port;
};

Target to_target(const std::string& text) {
  const std::size_t colon = text.rfind(':');
  Target target;
  if (colon != std::string::npos) {
    target.host = text.substr(0, colon);
    target.port = text.substr(colon + 1);
  }
  if (target.host.size() > 2 && target.host.front() == '[' && target.host.back() == ']') {
    target.host = target.host.substr(1, target.host.size() - 2);
  }
  unsigned port = 0;
  const char* const end = target.port.data() + target.port.size();
  const auto [stop, error] = std::from_chars(target.port.data(), end, port);
  constexpr unsigned kHighestPort = 65535;
  if (target.host.empty() || error != std::errc() || stop != end || port < 1 ||
      port > kHighestPort) {
    throw Error(fmt::format("--osc takes HOST:PORT with a port from 1 to {}, not '{}'.",
                            kHighestPort,
                            base::printable(text)));
  }
  return target;
}

struct FreeAddresses {
  void operator()(addrinfo* first) const noexcept { freeaddrinfo(first); }
};

using Addresses = std::unique_ptr<addrinfo, FreeAddresses>;

Addresses look_up(const Target& target) {
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_DGRAM;
  addrinfo* found = nullptr;
  const int error = getaddrinfo(target.host.c_str(), target.port.c_str(), &wanted, &found);
  if (error != 0) {
    throw Error(fmt::format("--osc: the host '{}' has no address ({}).",
                            base::printable(target.host),
                            gai_strerror(error)));
  }
  return Addresses(found);
}

/// Of a name with both kinds, as localhost has, the IPv4 one: most receivers listen there.
const addrinfo* choose(const addrinfo* first) noexcept {
  for (const addrinfo* one = first; one != nullptr; one = one->ai_next) {
    if (one->ai_family == AF_INET) {
      return one;
    }
  }
  return first;
}

/// What lo_message points to: nothing in particular, or a type of its own from liblo 0.32 on.
using Message = std::remove_pointer_t<lo_message>;

struct FreeMessage {
  void operator()(Message* message) const noexcept { lo_message_free(message); }
};

struct FreeBytes {
  void operator()(void* bytes) const noexcept { std::free(bytes); }  // NOLINT: from malloc
};

struct Append {
  lo_message message;

  void operator()(std::int32_t value) const { lo_message_add_int32(message, value); }

  void operator()(float value) const { lo_message_add_float(message, value); }

  void operator()(const std::string& value) const { lo_message_add_string(message, value.c_str()); }
};

}  // namespace

/// The library makes the messages but does not send them: Debian's knows no IPv6.
struct OscSender::State {
  Addresses addresses;
  const addrinfo* target = nullptr;
  int socket = -1;
};

OscSender::OscSender(const std::string& target) : state_(std::make_unique<State>()) {
  state_->addresses = look_up(to_target(target));
  state_->target = choose(state_->addresses.get());
  state_->socket = ::socket(state_->target->ai_family, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  if (state_->socket < 0) {
    throw Error(fmt::format("--osc: nothing can be sent to '{}' ({}).",
                            base::printable(target),
                            std::generic_category().message(errno)));
  }
  const int is_allowed = 1;  // to an address that every machine of the network hears
  (void)::setsockopt(state_->socket, SOL_SOCKET, SO_BROADCAST, &is_allowed, sizeof is_allowed);
}

OscSender::~OscSender() {
  ::close(state_->socket);
}

bool OscSender::send(const std::string& address, std::span<const OscValue> values) {
  const std::unique_ptr<Message, FreeMessage> message(lo_message_new());
  if (!message) {
    errno = ENOMEM;
    return false;
  }
  for (const OscValue& value : values) {
    std::visit(Append{message.get()}, value);
  }
  std::size_t size = 0;
  const std::unique_ptr<void, FreeBytes> bytes(
      lo_message_serialise(message.get(), address.c_str(), nullptr, &size));
  if (!bytes) {
    errno = ENOMEM;
    return false;
  }
  const ssize_t sent = ::sendto(state_->socket,
                                bytes.get(),
                                size,
                                MSG_NOSIGNAL | MSG_DONTWAIT,
                                state_->target->ai_addr,
                                state_->target->ai_addrlen);
  return sent == static_cast<ssize_t>(size);
}

}  // namespace brink::io
