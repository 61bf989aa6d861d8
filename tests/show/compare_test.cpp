#include "show/compare.h"

#include <doctest/doctest.h>

#include <cmath>

using brink::cuts::Band;
using brink::show::compare_visits;
using brink::show::OutputComparison;
using brink::show::OutputRecord;
using brink::show::RoundRecord;
using brink::show::ShowRecord;
using brink::show::VisitRing;

namespace {

OutputRecord output(const char* name, const std::vector<double>& rings_hz) {
  OutputRecord made;
  made.name = name;
  for (const double ring_hz : rings_hz) {
    made.rounds.emplace_back().ring.frequency_hz = ring_hz;
  }
  return made;
}

double up(double frequency_hz, double cents) {
  return frequency_hz * std::exp2(cents / 1200.0);
}

OutputComparison compare(OutputRecord before, OutputRecord now, double tolerance_cents = 100.0) {
  ShowRecord first;
  ShowRecord second;
  first.outputs = {std::move(before)};
  second.outputs = {std::move(now)};
  const auto comparison = compare_visits(first, second, tolerance_cents);
  REQUIRE(comparison.outputs.size() == 1);
  return comparison.outputs.front();
}

}  // namespace

TEST_CASE("rings within the tolerance rang again, others are new or quiet") {
  const auto result = compare(output("wedge", {2000.0, 400.0, 1000.0}),
                              output("wedge", {up(1000.0, 99.0), up(400.0, -99.0), 5000.0}));
  REQUIRE(result.again.size() == 2);
  CHECK(result.again[0].before.frequency_hz == 400.0);
  CHECK(result.again[0].apart_cents == doctest::Approx(-99.0));
  CHECK(result.again[1].before.frequency_hz == 1000.0);
  CHECK(result.again[1].apart_cents == doctest::Approx(99.0));
  REQUIRE(result.fresh.size() == 1);
  CHECK(result.fresh[0] == VisitRing{5000.0, 1});
  REQUIRE(result.quiet.size() == 1);
  CHECK(result.quiet[0] == VisitRing{2000.0, 1});
}

TEST_CASE("beyond the tolerance it is another ring") {
  const auto result = compare(output("wedge", {1000.0}), output("wedge", {up(1000.0, 101.0)}));
  CHECK(result.again.empty());
  CHECK(result.fresh.size() == 1);
  CHECK(result.quiet.size() == 1);
  const auto wide = compare(output("wedge", {1000.0}), output("wedge", {up(1000.0, 101.0)}), 150.0);
  CHECK(wide.again.size() == 1);
  CHECK(wide.fresh.empty());
}

TEST_CASE("of two near ones the nearest is the same, and one that rang twice is one") {
  const auto near =
      compare(output("wedge", {1000.0, up(1000.0, 150.0)}), output("wedge", {up(1000.0, 90.0)}));
  REQUIRE(near.again.size() == 1);
  CHECK(near.again[0].apart_cents == doctest::Approx(-60.0));
  const auto twice = compare(output("wedge", {}), output("wedge", {630.0, up(630.0, 20.0), 630.0}));
  REQUIRE(twice.fresh.size() == 1);
  CHECK(twice.fresh[0] == VisitRing{630.0, 3});
}

TEST_CASE("a cut is needed while something rings or is cut where it reaches") {
  // By the cookbook's relation, Q 8 is 0.1802 octaves wide: 108 cents to each side.
  OutputRecord before = output("wedge", {1000.0, 2000.0, 4000.0, 8000.0});
  before.cuts = {Band{1000.0, 8.0, -6.0},
                 Band{2000.0, 8.0, -6.0},
                 Band{4000.0, 8.0, -6.0},
                 Band{8000.0, 30.0, -6.0},
                 brink::cuts::to_band(brink::cuts::HighPass{120.0})};
  OutputRecord now = output("wedge", {up(1000.0, 107.0), up(2000.0, 110.0)});
  now.cuts = {Band{up(4000.0, 50.0), 8.0, -3.0}};
  const auto result = compare(before, now, 50.0);
  // 1000 Hz: a ring within its reach. 4000 Hz: cut now too. The high-pass is not judged.
  REQUIRE(result.needless.size() == 2);
  CHECK(result.needless[0].centre_hz == 2000.0);
  CHECK(result.needless[1].centre_hz == 8000.0);
}

TEST_CASE("outputs are compared by name, and those of one visit are named") {
  ShowRecord before;
  ShowRecord now;
  before.outputs = {output("mains", {500.0}), output("wedge 1", {1000.0})};
  now.outputs = {output("wedge 1", {1000.0}), output("side fill", {500.0})};
  before.outputs[1].rounds[0].rang_at_db = -10.0;
  before.outputs[1].rounds[0].cut = Band{1000.0, 8.0, -3.0};
  before.outputs[1].rounds[0].returned_at_db = -6.0;
  const auto comparison = compare_visits(before, now);
  REQUIRE(comparison.outputs.size() == 1);
  CHECK(comparison.outputs[0].name == "wedge 1");
  CHECK(comparison.outputs[0].again.size() == 1);
  CHECK(comparison.outputs[0].won_before_db == 4.0);
  CHECK(!comparison.outputs[0].won_now_db);
  CHECK(comparison.only_before == std::vector<std::string>{"mains"});
  CHECK(comparison.only_now == std::vector<std::string>{"side fill"});
  CHECK(comparison.tolerance_cents == 100.0);
}

TEST_CASE("a record without a frequency is passed over") {
  const auto result = compare(output("wedge", {0.0, -5.0, 300.0}), output("wedge", {0.0}));
  CHECK(result.again.empty());
  CHECK(result.fresh.empty());
  CHECK(result.quiet.size() == 1);
}
