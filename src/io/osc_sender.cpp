#include "io/osc_sender.h"

#include <fmt/format.h>
#include <lo/lo.h>
#include <netdb.h>
#include <sys/socket.h>

#include <charconv>

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

/// The library looks a name up when it first sends, and in silence.
void check_host(const Target& target) {
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_DGRAM;
  addrinfo* found = nullptr;
  const int error = getaddrinfo(target.host.c_str(), target.port.c_str(), &wanted, &found);
  if (error != 0) {
    throw Error(fmt::format("--osc: the host '{}' has no address ({}).",
                            base::printable(target.host),
                            gai_strerror(error)));
  }
  freeaddrinfo(found);
}

struct Append {
  lo_message message;

  void operator()(std::int32_t value) const { lo_message_add_int32(message, value); }

  void operator()(float value) const { lo_message_add_float(message, value); }

  void operator()(const std::string& value) const { lo_message_add_string(message, value.c_str()); }
};

}  // namespace

struct OscSender::State {
  lo_address address = nullptr;
};

OscSender::OscSender(const std::string& target) : state_(std::make_unique<State>()) {
  const Target parts = to_target(target);
  check_host(parts);
  state_->address = lo_address_new_with_proto(LO_UDP, parts.host.c_str(), parts.port.c_str());
  if (state_->address == nullptr) {
    throw Error(fmt::format("--osc: nothing can be sent to '{}'.", base::printable(target)));
  }
}

OscSender::~OscSender() {
  lo_address_free(state_->address);
}

bool OscSender::send(const std::string& address, std::span<const OscValue> values) {
  const lo_message message = lo_message_new();
  if (message == nullptr) {
    return false;
  }
  for (const OscValue& value : values) {
    std::visit(Append{message}, value);
  }
  const int sent = lo_send_message(state_->address, address.c_str(), message);
  lo_message_free(message);
  return sent >= 0;
}

}  // namespace brink::io
