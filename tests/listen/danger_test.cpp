#include "listen/danger.h"

#include <doctest/doctest.h>

#include <vector>

#include "io/sound_file.h"

using namespace brink;
using listen::FoldReason;
using listen::FoundRing;
using listen::RowOrder;

namespace {

struct Written {
  double hz;
  double peak_dbfs;
  std::int64_t from;
  std::int64_t to;
  std::uint32_t place;
  int channel = 1;
  double growth_db_per_s = 20.0;
};

FoundRing to_found(const Written& written) {
  FoundRing found;
  found.channel = written.channel;
  found.ring.frequency_hz = written.hz;
  found.ring.peak_dbfs = written.peak_dbfs;
  found.ring.onset_sample = written.from;
  found.ring.ended_sample = written.to;
  found.ring.place = written.place;
  found.ring.growth_db_per_s = written.growth_db_per_s;
  found.ring.confidence = 0.95;
  return found;
}

std::vector<FoundRing> to_rings(const std::vector<Written>& list) {
  std::vector<FoundRing> rings;
  for (const Written& written : list) {
    rings.push_back(to_found(written));
  }
  return rings;
}

}  // namespace

TEST_CASE("what a limiter makes of a ring stands under it, and no more than that") {
  // 3 f, 2 f1 - f2 by hand: 3000, 2 * 1300 - 1000 = 1600.
  const auto rings = to_rings({{1000.0, -3.0, 0, 900, 1},
                               {1300.0, -6.0, 10, 900, 2},
                               {3000.0, -20.0, 20, 900, 3},
                               {1600.0, -25.0, 30, 900, 4},
                               {1700.0, -25.0, 40, 900, 5}});
  const auto rows = listen::to_rows(rings, RowOrder::kTime);
  REQUIRE(rows.size() == 3);
  CHECK(rows[0].place.loudest == 0);
  CHECK(rows[1].place.loudest == 1);
  CHECK(rows[2].place.loudest == 4);
  REQUIRE(rows[0].folded.size() == 2);
  CHECK(rows[0].folded[0].place.loudest == 2);
  CHECK(rows[0].folded[0].reason == FoldReason::kProduct);
  CHECK(rows[0].folded[1].place.loudest == 3);
  CHECK(rows[0].folded[1].reason == FoldReason::kProduct);
}

TEST_CASE("a ring as loud as its octave is no product, nor one when the other does not sound") {
  CHECK(listen::to_rows(to_rings({{1000.0, -3.0, 0, 900, 1}, {2000.0, -10.0, 5, 900, 2}}),
                        RowOrder::kTime)
            .size() == 2);
  CHECK(listen::to_rows(to_rings({{1000.0, -3.0, 0, 900, 1}, {2000.0, -20.0, 901, 1200, 2}}),
                        RowOrder::kTime)
            .size() == 2);
  CHECK(listen::to_rows(to_rings({{1000.0, -3.0, 0, 900, 1}, {2000.0, -20.0, 5, 900, 2, 2}}),
                        RowOrder::kTime)
            .size() == 2);
  // Too quiet for any limiter.
  CHECK(listen::to_rows(to_rings({{1000.0, -31.0, 0, 900, 1}, {2000.0, -50.0, 5, 900, 2}}),
                        RowOrder::kTime)
            .size() == 2);
}

TEST_CASE("40 dB under a louder ring at the same time is under it, unless it once stood alone") {
  const std::vector<Written> both{{1000.0, -10.0, 0, 900, 1}, {1234.0, -50.0, 100, 800, 2}};
  const auto rows = listen::to_rows(to_rings(both), RowOrder::kTime);
  REQUIRE(rows.size() == 1);
  REQUIRE(rows[0].folded.size() == 1);
  CHECK(rows[0].folded[0].reason == FoldReason::kCovered);

  std::vector<Written> near = both;
  near[1].peak_dbfs = -49.9;
  CHECK(listen::to_rows(to_rings(near), RowOrder::kTime).size() == 2);

  std::vector<Written> again = both;
  again.push_back({1234.0, -50.0, 1000, 1100, 2});
  const auto alone = listen::to_rows(to_rings(again), RowOrder::kTime);
  REQUIRE(alone.size() == 2);
  CHECK(alone[1].danger.times == 2);
}

TEST_CASE("a ring under one that is itself under another stands under the uppermost") {
  const auto rows = listen::to_rows(
      to_rings(
          {{1000.0, -3.0, 0, 500, 1}, {1234.0, -44.0, 100, 900, 2}, {1700.0, -85.0, 600, 800, 3}}),
      RowOrder::kTime);
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].folded.size() == 2);
}

TEST_CASE("level, growth and how often decide which place is the most dangerous") {
  const auto rings = to_rings({{500.0, -30.0, 0, 100, 1},
                               {1000.0, -20.0, 200, 300, 2},
                               {2000.0, -20.0, 400, 500, 3, 1, 60.0},
                               {500.0, -30.0, 600, 700, 1}});
  const auto rows = listen::to_rows(rings, RowOrder::kDanger);
  REQUIRE(rows.size() == 3);
  CHECK(rows[0].place.loudest == 2);
  CHECK(rows[0].danger.rank_db == doctest::Approx(-20.0 + 0.2 * 60.0));
  CHECK(rows[1].place.loudest == 1);
  CHECK(rows[2].place.rings.size() == 2);
  // Twice as often: 3.01 dB.
  CHECK(rows[2].danger.rank_db == doctest::Approx(-30.0 + 0.2 * 20.0 + 3.0103));
  CHECK(rows[2].danger.left_db == 30.0);
  CHECK(listen::to_rows(rings, RowOrder::kTime)[0].place.rings.size() == 2);
}

TEST_CASE("two rings with two fainter ones under them take two cuts") {
  io::SoundReader reader(std::string(BRINK_TEST_SIGNALS) + "/two_rings.flac");
  const listen::Analysis analysis = listen::analyse(reader, {}, {});
  const auto rows = listen::to_rows(analysis.rings, RowOrder::kDanger);
  // The truth of test-signals/truth.json: 2060.2 Hz and 3706.5 Hz.
  REQUIRE(rows.size() == 2);
  CHECK(analysis.rings[rows[0].place.loudest].ring.frequency_hz ==
        doctest::Approx(2060.2).epsilon(0.001));
  CHECK(analysis.rings[rows[1].place.loudest].ring.frequency_hz ==
        doctest::Approx(3706.5).epsilon(0.001));
  CHECK(analysis.cuts.size() == 2);
}
