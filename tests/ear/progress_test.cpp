#include "ear/progress.h"

#include <doctest/doctest.h>

using namespace brink;
using namespace brink::ear;

namespace {

show::GuessRecord guess(const char* at, double true_hz, double guessed_hz, double took_s) {
  show::GuessRecord record;
  record.trainee = "Ada";
  record.guessed_at = at;
  record.exercise = "pure";
  record.seed = 7;
  record.true_hz = true_hz;
  record.guessed_hz = guessed_hz;
  record.took_s = took_s;
  record.level = 2;
  record.left_db = -1.25;
  return record;
}

}  // namespace

// Source: ISO 8601, a week begins on Monday and belongs to the year of its Thursday; the dates are
// the usual printed examples.
TEST_CASE("weeks are those of ISO 8601") {
  CHECK(week_of("2026-11-25T13:00:00.000+00:00") == "2026-W48");
  CHECK(week_of("2005-01-01") == "2004-W53");
  CHECK(week_of("2005-01-02T00:00") == "2004-W53");
  CHECK(week_of("2007-01-01") == "2007-W01");
  CHECK(week_of("2008-12-29") == "2009-W01");
  CHECK(week_of("2010-01-03") == "2009-W53");
  for (const char* const bad :
       {"", "yesterday", "2026-13-01", "2026-02-30", "2026/11/25", "2026-1"}) {
    CHECK(week_of(bad) == "?");
  }
}

TEST_CASE("progress is summed by band and week, by hand") {
  const std::vector<show::GuessRecord> guesses{
      guess("2026-11-18T10:00:00+01:00", 1000.0, 2000.0, 8.0),              // an octave high
      guess("2026-11-18T10:01:00+01:00", 1010.0, 1010.0 * 1.0594631, 4.0),  // 100 cents
      guess("2026-11-25T10:00:00+01:00", 990.0, 990.0 / 1.0594631, 2.0),    // 100 cents
      guess("2026-11-25T10:01:00+01:00", 4000.0, 500.0, 3.0),               // three octaves low
      guess("2026-11-25T10:02:00+01:00", 4000.0, 5650.0, 6.0),              // half an octave
      guess("2026-11-25T10:03:00+01:00", 4000.0, 0.0, 6.0),  // no frequency: left out
  };
  auto all = guesses;
  all.push_back(guess("2026-11-25T10:02:00+01:00", 4000.0, 500.0, 3.0));
  all.back().trainee = "Bo";
  const EarProgress progress = progress_of(all, "Ada");
  CHECK(progress.all.count == 5);
  CHECK(progress.all.hit_share == doctest::Approx(0.4));
  CHECK(progress.all.median_took_s == doctest::Approx(4.0));
  REQUIRE(progress.bands.size() == 2);
  CHECK(progress.bands[0].band == 0);
  CHECK(progress.bands[0].summary.count == 3);
  CHECK(progress.bands[0].summary.median_error_cents == doctest::Approx(100.0));
  CHECK(progress.bands[0].summary.mean_error_cents == doctest::Approx(1400.0 / 3.0));
  CHECK(progress.bands[1].band == 6);
  REQUIRE(progress.weeks.size() == 2);
  CHECK(progress.weeks[0].week == "2026-W47");
  CHECK(progress.weeks[0].summary.hit_share == doctest::Approx(0.5));
  REQUIRE(progress.cells.size() == 3);
  CHECK(progress.cells[2].week == "2026-W48");
  CHECK(progress.cells[2].band == 6);
  CHECK(progress.octaves.counts == std::array<int, 5>{0, 0, 2, 1, 0});
  CHECK(progress.octaves.none == 2);
}

TEST_CASE("nobody's progress is empty, and a perfect guess is as good as hearing") {
  CHECK(progress_of({}, "Ada").all.count == 0);
  const std::vector<show::GuessRecord> one{guess("2026-11-25", 1000.0, 1000.0, 1.0)};
  CHECK(progress_of(one, "Ada").all.mean_error_cents == doctest::Approx(10.36).epsilon(0.001));
}

TEST_CASE("what answers tell of the octave is counted in bits, from 100 guesses on") {
  // Four octaves, alike often, heard 32 times each. By hand: all right tells log2(4) bits; answers
  // that only tell the lower two from the upper two tell one; one answer for all tells none. The
  // correction is (cells of the truth + of the answer - of both - 1) / (2 n ln 2), at most 0.04.
  const auto bits = [](auto answer) {
    std::vector<show::GuessRecord> guesses;
    for (int i = 0; i < 128; ++i) {
      const double true_hz = 500.0 * std::exp2(i % 4);
      guesses.push_back(guess("2026-11-25", true_hz, answer(i), 1.0));
    }
    CHECK(!progress_of(std::span(guesses).first(99), "Ada").octave_bits);
    return progress_of(guesses, "Ada").octave_bits.value();
  };
  CHECK(bits([](int i) { return 520.0 * std::exp2(i % 4); }) == doctest::Approx(2.0).epsilon(0.02));
  CHECK(bits([](int i) { return i % 4 < 2 ? 500.0 : 4000.0; }) ==
        doctest::Approx(1.0).epsilon(0.02));
  CHECK(bits([](int) { return 1000.0; }) < 0.02);
}

TEST_CASE("guesses are exported as CSV that a name cannot break") {
  auto one = guess("2026-11-25T10:00:00+01:00", 1000.0, 2000.0, 8.0);
  one.trainee = "O'Neil, \"Ada\"";
  const std::vector<show::GuessRecord> guesses{one};
  CHECK(
      guesses_csv(guesses, one.trainee) ==
      "guessed_at,trainee,exercise,level,seed,true_hz,guessed_hz,error_cents,hit,octave_slip,"
      "took_s,left_db\n"
      "2026-11-25T10:00:00+01:00,\"O'Neil, \"\"Ada\"\"\",pure,2,7,1000.00,2000.00,1200.0,0,1,8.000,"
      "-1.25\n");
  CHECK(progress_csv(progress_of(guesses, one.trainee)) ==
        "trainee,week,band_hz,guesses,median_error_cents,mean_error_cents,hit_share,median_took_s\n"
        "\"O'Neil, \"\"Ada\"\"\",2026-W48,1000.0,1,1200.0,1200.0,0.000,8.000\n");
  one.trainee = "=1+1";
  CHECK(progress_csv(progress_of(std::vector{one}, "=1+1")).find("\n'=1+1,") != std::string::npos);
}
