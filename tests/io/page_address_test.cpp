#include "io/page/page_address.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "base/error.h"
#include "io/page/page_secret.h"

using namespace brink;

TEST_CASE("page addresses are read as they are meant, and anything else is refused") {
  CHECK(io::to_page_address("192.168.1.20").text() == "192.168.1.20:61017");
  CHECK(io::to_page_address("10.0.0.1:80").text() == "10.0.0.1:80");
  CHECK(io::to_page_address("127.0.0.1:0").port == 0);
  for (const char* text : {"",
                           ":80",
                           "0.0.0.0",
                           "0.0.0.0:80",
                           "localhost",
                           "10.0.0.1:",
                           "10.0.0.1:x",
                           "10.0.0.1:65536",
                           "10.0.0.1:-1",
                           "10.0.0",
                           "10.0.0.256",
                           "::1",
                           "[::1]:80",
                           "10.0.0.1:80:80",
                           "10.0.0.1 "}) {
    CAPTURE(std::string(text));
    CHECK_THROWS_AS((void)io::to_page_address(text), base::Error);
  }
}

TEST_CASE("the likely address is the one that telephones share") {
  CHECK_THROWS_AS((void)io::choose_page_address({}), base::Error);
  const io::LocalAddress wired{"10.0.0.5", "eth0", false};
  const io::LocalAddress wireless{"192.168.1.20", "wlan0", true};
  CHECK(io::choose_page_address({wired}).text() == "10.0.0.5:61017");
  CHECK(io::choose_page_address({wired, wireless}).text() == "192.168.1.20:61017");
}

TEST_CASE("secrets have 128 bits, all of which change, and are compared whole") {
  const std::string one = io::new_page_secret();
  CHECK(io::is_page_secret(one));
  CHECK_FALSE(io::is_page_secret(one.substr(1)));
  CHECK_FALSE(io::is_page_secret(one.substr(1) + "i"));
  CHECK(io::is_same_secret(one, one));
  CHECK_FALSE(io::is_same_secret(one.substr(1), one));
  CHECK_FALSE(io::is_same_secret("", one));
  // 26 letters of 5 bits. Each of the first 25, drawn 400 times, misses a given one of the 32
  // with a chance of (31/32)^400 = 3e-6. The last has 3 bits.
  std::vector<std::string> all;
  for (int i = 0; i < 400; ++i) {
    all.push_back(io::new_page_secret());
  }
  for (std::size_t letter = 0; letter < one.size(); ++letter) {
    std::string seen;
    for (const std::string& secret : all) {
      seen += seen.find(secret[letter]) == std::string::npos ? secret.substr(letter, 1) : "";
    }
    CHECK(seen.size() >= (letter + 1 < one.size() ? 28U : 8U));
  }
}
