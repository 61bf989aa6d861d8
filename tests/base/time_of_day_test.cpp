#include "base/time_of_day.h"

#include <doctest/doctest.h>

using brink::base::parse_time;
using brink::base::short_time;
using brink::base::time_text;
using brink::base::TimeOfDay;

TEST_CASE("a time of day is read as ISO 8601 has it") {
  // POSIX: 946684800 s since the epoch is 2000-01-01T00:00:00Z.
  CHECK(parse_time("2000-01-01T00:00:00Z") == TimeOfDay{946684800000, 0});
  CHECK(parse_time("2000-01-01T02:00+02:00") == TimeOfDay{946684800000, 120});
  CHECK(parse_time("1999-12-31T18:30:00.000-05:30") == TimeOfDay{946684800000, -330});
  CHECK(parse_time("2000-01-01T00:00:00.4Z") == TimeOfDay{946684800400, 0});
  CHECK(parse_time("2000-01-01T00:00:00.4567Z") == TimeOfDay{946684800456, 0});
  CHECK(parse_time("1969-12-31T23:59:59.999Z") == TimeOfDay{-1, 0});
  // 2024 is a leap year: its 29 February is day 59 from 1 January (1704067200 s).
  CHECK(parse_time("2024-02-29T00:00Z") == TimeOfDay{(1704067200 + 59 * 86400LL) * 1000, 0});
}

TEST_CASE("what is no time of day is none") {
  for (const char* const text : {"",
                                 "now",
                                 "2026-05-01",
                                 "2026-05-01T19:02:11",
                                 "2026-05-01 19:02:11Z",
                                 "2026-13-01T19:02Z",
                                 "2026-02-29T19:02Z",
                                 "2026-05-01T24:00Z",
                                 "2026-05-01T19:60Z",
                                 "2026-05-01T19:02:61Z",
                                 "2026-05-01T19:02:11.Z",
                                 "2026-05-01T19:02+0200",
                                 "2026-05-01T19:02+02:00 ",
                                 "0000-05-01T19:02Z",
                                 "-026-05-01T19:02Z"}) {
    CAPTURE(text);
    CHECK(!parse_time(text));
    CHECK(short_time(text) == text);
  }
}

TEST_CASE("a time of day is written as it was read") {
  for (const char* const text : {"2026-05-01T19:02:11.400+02:00",
                                 "1969-12-31T23:59:59.999-11:30",
                                 "2024-02-29T00:00:00.000+00:00"}) {
    const auto time = parse_time(text);
    REQUIRE(time);
    CHECK(time_text(*time) == text);
  }
  TimeOfDay late = *parse_time("2026-12-31T23:59:50.000+01:00");
  late.unix_ms += 10930;
  CHECK(time_text(late) == "2027-01-01T00:00:00.930+01:00");
  CHECK(short_time("2026-05-01T19:02:11.400+02:00") == "2026-05-01 19:02");
}
