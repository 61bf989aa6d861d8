#include "desk/page/kept_secret.h"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <chrono>
#include <string>

#include "io/page/page_secret.h"
#include "support/files.h"

using namespace brink;
using namespace std::chrono_literals;
using desk::keep_page_secret;

namespace {

const std::chrono::system_clock::time_point kEvening{std::chrono::seconds(1796000000)};

}  // namespace

TEST_CASE("the page's secret lasts an evening, from one start to the next, and no longer") {
  const tests::TemporaryDirectory dir;
  const std::string path = dir / "config/brink/page.json";
  const std::string first = keep_page_secret(path, kEvening, false);
  CHECK(io::is_page_secret(first));
  CHECK(keep_page_secret(path, kEvening + 11h, false) == first);
  CHECK(keep_page_secret(path, kEvening + 22h, false) == first);  // used eleven hours before
  const std::string next = keep_page_secret(path, kEvening + 35h, false);
  CHECK(next != first);
  CHECK(keep_page_secret(path, kEvening, false) != next);  // a clock that went back tells nothing
}

TEST_CASE("a new secret is had by asking") {
  const tests::TemporaryDirectory dir;
  const std::string path = dir / "page.json";
  const std::string first = keep_page_secret(path, kEvening, false);
  const std::string next = keep_page_secret(path, kEvening, true);
  CHECK(next != first);
  CHECK(keep_page_secret(path, kEvening, false) == next);
}

TEST_CASE("nobody but the user can read the kept secret, whatever the file's mode was") {
  const tests::TemporaryDirectory dir;
  const std::string path = dir / "page.json";
  for (int i = 0; i < 2; ++i) {
    (void)keep_page_secret(path, kEvening, false);

    struct stat about {};

    REQUIRE(::stat(path.c_str(), &about) == 0);
    CHECK((about.st_mode & 07777) == 0600);
    REQUIRE(::chmod(path.c_str(), 0644) == 0);
  }
}

TEST_CASE("a file that is no such file of ours is left as it is") {
  const tests::TemporaryDirectory dir;
  const std::string path = dir / "page.json";
  tests::write_bytes(path, "precious");
  const std::string secret = keep_page_secret(path, kEvening, false);
  CHECK(io::is_page_secret(secret));
  CHECK(tests::read_bytes(path) == "precious");
  CHECK(io::is_page_secret(keep_page_secret("", kEvening, false)));
}

TEST_CASE("a kept secret that is none is not taken") {
  const tests::TemporaryDirectory dir;
  const std::string path = dir / "page.json";
  tests::write_bytes(path,
                     R"({"schema":"brink/page-secret/1","secret":"short","used":1796000000})");
  const std::string secret = keep_page_secret(path, kEvening, false);
  CHECK(io::is_page_secret(secret));
  // Used at no time that there is.
  for (const char* const used : {"-9223372036854775808", "1e300", "-1e300"}) {
    tests::write_bytes(
        path,
        R"({"schema":"brink/page-secret/1","secret":")" + secret + R"(","used":)" + used + "}");
    CHECK(keep_page_secret(path, kEvening, false) != secret);
  }
}
