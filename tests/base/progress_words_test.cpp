#include "base/progress_words.h"

#include <doctest/doctest.h>

using brink::base::progress_words;

TEST_CASE("progress says how long the rest takes, as far as the pace is known") {
  CHECK(progress_words(0.0, 30.0) == "0 %");   // the share is unknown
  CHECK(progress_words(0.25, 0.5) == "25 %");  // too early to tell
  CHECK(progress_words(0.25, 10.0) == "25 %, about 30 s left");
  CHECK(progress_words(0.25, 240.0) == "25 %, about 12 min left");
  CHECK(progress_words(1.0, 20.0) == "100 %, about 0 s left");
}

TEST_CASE("what was done before one began to watch does not count for the pace") {
  CHECK(progress_words(0.75, 10.0, 0.5) == "75 %, about 10 s left");
  CHECK(progress_words(0.5, 10.0, 0.5) == "50 %");
}
