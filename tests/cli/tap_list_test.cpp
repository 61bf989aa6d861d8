#include "cli/tap_list.h"

#include <doctest/doctest.h>

#include "base/error.h"

using namespace brink;

TEST_CASE("a list of taps names channels and ranges, each once, rising") {
  CHECK(cli::to_taps("").empty());
  CHECK(cli::to_taps("3") == std::vector<int>{3});
  CHECK(cli::to_taps("5,1-3,2") == std::vector<int>{1, 2, 3, 5});
  CHECK(cli::to_taps("64") == std::vector<int>{64});
  CHECK(cli::first_taps(3) == std::vector<int>{1, 2, 3});
}

TEST_CASE("what is no list of taps is refused") {
  for (const char* list :
       {",", "1,", ",1", "0", "65", "3-1", "-3", "1-", "1.5", "a", " 1", "1-2-3"}) {
    CAPTURE(list);
    CHECK_THROWS_AS(static_cast<void>(cli::to_taps(list)), base::Error);
  }
}
