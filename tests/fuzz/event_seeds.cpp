#include <cstring>
#include <filesystem>
#include <string>
#include <string_view>

#include "fuzz/seeds.h"
#include "support/files.h"
#include "support/udp_console.h"

namespace brink::fuzz {
namespace {

void make_raw_inputs(const std::string& directory) {
  std::filesystem::create_directories(directory);
  // Form, channels, taps, room; then samples.
  const std::string samples(999, '\x3F');
  tests::write_bytes(directory + "/float_one", std::string("\0\1\0\7", 4) + samples);
  tests::write_bytes(directory + "/int16_stereo", std::string("\1\2\1\2\20", 5) + samples);
  tests::write_bytes(directory + "/int24_taps", std::string("\2\4\2\1\3\0", 6) + samples);
  tests::write_bytes(directory + "/int32_many", std::string("\3\100\0\1", 4) + samples);
}

void make_requests(const std::string& directory) {
  std::filesystem::create_directories(directory);
  const std::string secret = "abcdefghijkmnpqrstvwxyz234";
  const auto write = [&](const char* name, const std::string& first, const std::string& rest) {
    tests::write_bytes(directory + "/" + name,
                       first + " HTTP/1.1\r\nHost: HOST\r\n" + rest + "\r\n");
  };
  write("page", "GET /" + secret + "/", "");
  write("part", "GET /" + secret + "/page.js", "Accept-Encoding: gzip\r\nRange: bytes=0-1\r\n");
  write("states", "GET /" + secret + "/states", "Accept: text/event-stream\r\n");
  write("key", "POST /" + secret + "/key/cut", "Origin: http://HOST\r\nContent-Length: 0\r\n");
  write("key_gone", "POST /" + secret + "/key/other", "Origin: http://HOST\r\n");
  write("elsewhere", "POST /" + secret + "/key/cut", "Origin: http://larkfield.invalid\r\n");
  write("wrong", "GET /zzzzzzzzzzzzzzzzzzzzzzzzzz/", "");
  write("body",
        "POST /" + secret + "/key/cut",
        "Transfer-Encoding: chunked\r\n\r\n4\r\nbody\r\n0\r\n");
  write("head", "HEAD /" + secret + "/", "Expect: 100-continue\r\n");
  tests::write_bytes(directory + "/half", "GET /" + secret + "/ HT");
}

/// Events for fuzz_console, one after another.
class Course {
 public:
  Course& packet(const std::string& bytes) {
    bytes_ += '\0';
    bytes_ += static_cast<char>(bytes.size());
    bytes_ += bytes;
    return *this;
  }

  Course& answer(char part, float number) {
    bytes_ += '\1';
    bytes_ += part;
    bytes_.resize(bytes_.size() + sizeof number);
    std::memcpy(bytes_.data() + bytes_.size() - sizeof number, &number, sizeof number);
    return *this;
  }

  Course& run(char steps) {
    bytes_ += '\2';
    bytes_ += steps;
    return *this;
  }

  Course& log(std::string_view bands) {
    bytes_ += '\3';
    bytes_ += static_cast<char>(bands.size() / 4);
    bytes_ += bands;
    return *this;
  }

  [[nodiscard]] const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
};

void make_courses(const std::string& directory) {
  std::filesystem::create_directories(directory);
  Course answers;
  for (char part = 0; part < 13; ++part) {
    answers.answer(part, 0.5F).run(2);
  }
  answers.run(120).log({"\x00\x20\x40\x60", 4}).run(120).run(120);
  tests::write_bytes(directory + "/answers", answers.bytes());
  const std::string fader = tests::osc_bytes("/wedge/1/fader", 0.75F);
  const std::string size = std::string(3, '\0') + static_cast<char>(fader.size());
  const std::string bundle =
      std::string("#bundle\0", 8) + std::string(7, '\0') + '\1' + size + fader + size + fader;
  tests::write_bytes(directory + "/bundle",
                     Course().packet(fader).run(3).packet(bundle).run(120).bytes());
  tests::write_bytes(directory + "/no_numbers",
                     Course().answer(0, -1e30F).answer(3, 2.0F).run(100).log("").bytes());
}

}  // namespace

void make_event_seeds(const std::string& root) {
  make_raw_inputs(root + "/raw_input");
  make_requests(root + "/page_request");
  make_courses(root + "/console");
}

}  // namespace brink::fuzz
