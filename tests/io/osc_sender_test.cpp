#include "io/osc_sender.h"

#include <doctest/doctest.h>

#include <array>
#include <cerrno>
#include <optional>
#include <stdexcept>
#include <string>

#include "base/error.h"
#include "support/skip.h"
#include "support/udp.h"

using namespace brink;
using namespace std::string_literals;

// Bytes after Open Sound Control 1.0 (M. Wright, 2002): strings end in zeros up to a multiple of
// four, numbers are big-endian.
TEST_CASE("a message arrives as the standard has it") {
  const tests::UdpReceiver receiver;
  io::OscSender sender("127.0.0.1:" + std::to_string(receiver.port()));
  const std::array<io::OscValue, 3> values{std::int32_t{3}, 440.0F, std::string("A4")};
  CHECK(sender.send("/brink/ringing", values));
  CHECK(receiver.receive() ==
        "/brink/ringing\0\0,ifs\0\0\0\0"s
        "\0\0\0\x03\x43\xDC\0\0"s
        "A4\0\0"s);
}

TEST_CASE("a message arrives by IPv6") {
  std::optional<tests::UdpReceiver> receiver;
  try {
    receiver.emplace(tests::UdpReceiver::Kind::kIpv6);
  } catch (const std::runtime_error&) {
    tests::skip("this machine has no IPv6");
    return;
  }
  io::OscSender sender("[::1]:" + std::to_string(receiver->port()));
  CHECK(sender.send("/brink/gone", {}));
  CHECK(receiver->receive() == "/brink/gone\0,\0\0\0"s);
}

TEST_CASE("a message that the network does not take is told, with the reason") {
  // A datagram of UDP over IPv4 holds 65 507 bytes (RFC 768, RFC 791).
  io::OscSender sender("127.0.0.1:9");
  const std::array<io::OscValue, 1> much{std::string(70000, 'x')};
  CHECK(!sender.send("/brink/gone", much));
  CHECK(errno == EMSGSIZE);
}

TEST_CASE("a target that is none is refused") {
  for (const char* target : {"",
                             "localhost",
                             ":9000",
                             "localhost:",
                             "localhost:0",
                             "localhost:65536",
                             "localhost:12x",
                             "[::zz]:9000"}) {
    CAPTURE(target);
    CHECK_THROWS_AS(io::OscSender sender(target), base::Error);
  }
}

TEST_CASE("nobody listening is no fault") {
  io::OscSender sender("127.0.0.1:9");
  static_cast<void>(sender.send("/brink/gone", {}));
  static_cast<void>(sender.send("/brink/gone", {}));
}
