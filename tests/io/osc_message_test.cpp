#include "io/osc_message.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace brink;
using namespace std::string_literals;

namespace {

struct Heard {
  std::string address;
  std::vector<io::OscValue> values;
};

std::vector<Heard> read(const std::string& bytes) {
  std::vector<Heard> heard;
  io::read_osc_packet(bytes, [&](const std::string& address, const auto& values) {
    heard.push_back({address, values});
  });
  return heard;
}

}  // namespace

// Bytes after Open Sound Control 1.0 (M. Wright, 2002).
TEST_CASE("a packet gives its address and numbers") {
  const auto heard = read("/oscillator/4/frequency\0,f\0\0\x43\xDC\0\0"s);  // the standard's own
  REQUIRE(heard.size() == 1);
  CHECK(heard[0].address == "/oscillator/4/frequency");
  CHECK(heard[0].values == std::vector<io::OscValue>{440.0F});
}

TEST_CASE("whole numbers, text and numbers of 64 bits are read, the rest is left out") {
  const auto heard = read("/a\0\0,isTd\0\0\0\0\0\x03\xE8hi\0\0\x3F\xE0\0\0\0\0\0\0"s);
  REQUIRE(heard.size() == 1);
  CHECK(heard[0].values == std::vector<io::OscValue>{1000, std::string("hi"), 0.5F});
}

TEST_CASE("a bundle gives each of its messages, bundles within it too") {
  const std::string one = "/a\0\0,i\0\0\0\0\0\x01"s;
  const std::string inner = "#bundle\0\0\0\0\0\0\0\0\x01\0\0\0\x0C"s + one;
  const std::string outer = "#bundle\0\0\0\0\0\0\0\0\x01\0\0\0\x0C"s + one + "\0\0\0\x20"s + inner;
  CHECK(read(outer).size() == 2);
}

TEST_CASE("bytes that are no message are skipped") {
  for (const std::string& bytes : {""s,
                                   "/"s,
                                   "/abc"s,
                                   "abc\0"s,
                                   "/a\0\0"s + ",f\0\0"s,
                                   "/a\0\0,s\0\0abcd"s,
                                   "#bundle\0"s,
                                   "#bundle\0\0\0\0\0\0\0\0\x01\xFF\xFF\xFF\xFF/a\0\0,\0\0\0"s,
                                   "#bundle\0\0\0\0\0\0\0\0\x01\0\0\0\0"s}) {
    CAPTURE(bytes.size());
    CHECK(read(bytes).empty());
  }
}
