#include "io/link/osc_wire.h"

#include <fmt/format.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cmath>
#include <span>
#include <system_error>
#include <variant>

#include "base/error.h"

namespace brink::io {
namespace {

/// The socket on which the console's answers arrive.
int open_socket(int family, int port) {
  const int socket = ::socket(family, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  sockaddr_in any{};
  any.sin_family = AF_INET;
  any.sin_port = htons(static_cast<std::uint16_t>(port));
  sockaddr_in6 any6{};
  any6.sin6_family = AF_INET6;
  any6.sin6_port = any.sin_port;
  const bool is_6 = family == AF_INET6;
  const auto* const address =
      is_6 ? reinterpret_cast<const sockaddr*>(&any6) : reinterpret_cast<const sockaddr*>(&any);
  const socklen_t bytes = is_6 ? sizeof any6 : sizeof any;
  if (socket >= 0 && ::bind(socket, address, bytes) == 0) {
    return socket;
  }
  const std::string why = std::generic_category().message(errno);
  if (socket >= 0) {
    ::close(socket);
  }
  throw base::Error(
      port == 0 ? fmt::format("console: no UDP port can be opened ({}).", why)
                : fmt::format("reply_port: UDP port {} cannot be listened to ({}).", port, why));
}

struct ToNumber {
  std::optional<double> operator()(std::int32_t value) const { return value; }

  std::optional<double> operator()(float value) const { return static_cast<double>(value); }

  std::optional<double> operator()(const std::string&) const { return std::nullopt; }
};

struct ToWords {
  std::string operator()(std::int32_t value) const { return fmt::format("{}", value); }

  std::string operator()(float value) const { return fmt::format("{:.6g}", value); }

  std::string operator()(const std::string& value) const { return "'" + value + "'"; }
};

}  // namespace

OscWire::OscWire(const cuts::Link& link) : ConsoleWire(link) {
  for (const cuts::LinkPart& part : cuts::parts(link)) {
    places_.emplace(cuts::control(link, part).address, part);
  }
}

OscWire::~OscWire() {
  if (socket_ >= 0) {
    ::close(socket_);
  }
}

void OscWire::open() {
  if (socket_ < 0) {
    console_.emplace(link().console, "console");
    socket_ = open_socket(console_->family(), link().reply_port);
  }
}

void OscWire::send_packet(const std::string& address, const std::optional<OscValue>& value) {
  const std::span<const OscValue> values =
      value ? std::span(&*value, 1) : std::span<const OscValue>();
  const std::vector<char> packet = osc_packet(address, values);
  (void)::sendto(socket_,
                 packet.data(),
                 packet.size(),
                 MSG_NOSIGNAL | MSG_DONTWAIT,
                 console_->address(),
                 console_->bytes());
}

void OscWire::ask(const cuts::LinkControl& control) {
  send_packet(control.address, std::nullopt);
}

void OscWire::set(const cuts::LinkControl& control, double number) {
  send_packet(control.address,
              control.scale.is_whole() ? OscValue(static_cast<std::int32_t>(std::lround(number)))
                                       : OscValue(static_cast<float>(number)));
}

void OscWire::keep_alive() {
  send_packet(link().keep_alive, std::nullopt);
}

bool OscWire::receive_one(const Take& take) {
  std::array<char, 65536> bytes{};
  sockaddr_storage from{};
  socklen_t from_bytes = sizeof from;
  const ssize_t count = ::recvfrom(socket_,
                                   bytes.data(),
                                   bytes.size(),
                                   MSG_DONTWAIT,
                                   reinterpret_cast<sockaddr*>(&from),
                                   &from_bytes);
  if (count < 0) {
    return errno == ECONNREFUSED;  // nobody listens at the console: the next packet may be there
  }
  if (!console_->is_host_of(reinterpret_cast<const sockaddr&>(from))) {
    return true;
  }
  read_osc_packet(std::span(bytes.data(), static_cast<std::size_t>(count)),
                  [&](const std::string& address, const std::vector<OscValue>& values) {
                    ConsoleWord word;
                    word.place = address;
                    for (const OscValue& value : values) {
                      word.words += (word.words.empty() ? "" : " ") + std::visit(ToWords{}, value);
                    }
                    word.number =
                        values.empty() ? std::nullopt : std::visit(ToNumber{}, values.front());
                    const auto place = places_.find(address);
                    if (place != places_.end()) {
                      word.part = place->second;
                    }
                    take(word);
                  });
  return true;
}

void OscWire::receive(double wait_s, const Take& take) {
  pollfd file{socket_, POLLIN, 0};
  if (::poll(&file, 1, static_cast<int>(std::ceil(1000.0 * wait_s))) <= 0) {
    return;
  }
  // Not without an end: whoever floods the port must not keep the answers from being looked at.
  constexpr int kMostAtOnce = 256;
  for (int i = 0; i < kMostAtOnce && receive_one(take); ++i) {
  }
}

std::unique_ptr<ConsoleWire> make_osc_wire(const cuts::Link& link) {
  return std::make_unique<OscWire>(link);
}

}  // namespace brink::io
