#include "io/osc_sender.h"

#include <doctest/doctest.h>

#include <array>
#include <string>

#include "base/error.h"
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
