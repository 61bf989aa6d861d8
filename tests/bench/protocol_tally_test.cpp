#include "bench/protocol_tally.h"

#include <doctest/doctest.h>

using brink::bench::Tally;

// The expected counts follow from S2's rules, applied by hand.

TEST_CASE("either or both of the annotated bins are one hit, none is a miss") {
  Tally tally;
  tally.add_look({100}, 100);
  tally.add_look({101}, 100);
  tally.add_look({100, 101}, 100);
  tally.add_look({}, 100);
  CHECK(tally.hits == 3);
  CHECK(tally.misses == 1);
  CHECK(tally.false_alarms == 0);
}

TEST_CASE("two adjacent wrong bins count once, three count twice, and a hit excuses none") {
  Tally tally;
  tally.add_look({40, 41}, std::nullopt);
  CHECK(tally.false_alarms == 1);
  tally.add_look({40, 41, 42}, std::nullopt);
  CHECK(tally.false_alarms == 3);
  tally.add_look({40, 42}, std::nullopt);
  CHECK(tally.false_alarms == 5);
  tally.add_look({101, 102}, 100);
  CHECK(tally.false_alarms == 6);
  CHECK(tally.hits == 1);
  CHECK(tally.misses == 0);
}

TEST_CASE("F1 is the harmonic mean of precision and recall, and 0 of nothing") {
  CHECK(Tally{}.f1() == 0.0);
  const Tally tally{6, 2, 4};  // precision 0.6, recall 0.75
  // Only rounding is allowed.
  CHECK(tally.f1() == doctest::Approx(2.0 * 0.6 * 0.75 / (0.6 + 0.75)).epsilon(1e-12));
}
