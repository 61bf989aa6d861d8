#include "cuts/propose.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "cuts/filters.h"

using namespace brink::cuts;

namespace {

RingMeasurement ring_at(double frequency_hz, double growth_db_per_s = 30.0) {
  return {.frequency_hz = frequency_hz,
          .frequency_sd_hz = 0.2,
          .growth_db_per_s = growth_db_per_s,
          .start_s = 1.0,
          .end_s = 2.0};
}

}  // namespace

TEST_CASE("a cut stands at the ring") {
  CHECK(propose_cut(ring_at(2631.4)).centre_hz == doctest::Approx(2631.0));
  CHECK(propose_cut(ring_at(81.26)).centre_hz == doctest::Approx(81.3));
}

TEST_CASE("a cut covers the range over which its ring glided") {
  for (const double glide : {0.01, 0.02, 0.06}) {
    CAPTURE(glide);
    RingMeasurement ring = ring_at(2000.0);
    ring.frequency_low_hz = 2000.0;
    ring.frequency_high_hz = 2000.0 * (1.0 + glide);
    const Cut cut = propose_cut(ring);
    CHECK(cut.centre_hz == doctest::Approx(2000.0 * (1.0 + 0.5 * glide)).epsilon(0.001));
    CHECK(cut.q <= propose_cut(ring_at(2000.0)).q);
    for (const double edge_hz : {ring.frequency_low_hz, ring.frequency_high_hz}) {
      CHECK(level_db(cut, edge_hz) <= 0.5 * cut.depth_db);
    }
    const auto shared = share_cuts(std::vector{ring});
    REQUIRE(shared.size() == 1);
    CHECK(shared[0].cut.centre_hz == cut.centre_hz);
  }
  RingMeasurement elsewhere = ring_at(2000.0);
  elsewhere.frequency_low_hz = 100.0;
  elsewhere.frequency_high_hz = 200.0;
  CHECK(propose_cut(elsewhere).centre_hz == propose_cut(ring_at(2000.0)).centre_hz);
}

TEST_CASE("depth is the excess over the brink and the margin, in whole steps") {
  // Excess = growth * group delay (published example: 50 dB/s at 10 ms is 0.5 dB, prosoundweb.com).
  ProposeConfig config;
  config.loop_delay_s = 0.01;
  config.margin_db = 2.6;
  CHECK(propose_cut(ring_at(1000.0, 30.0), config).depth_db == -3.0);  // 0.3 + 2.6 = 2.9
  CHECK(propose_cut(ring_at(1000.0, 50.0), config).depth_db == -6.0);  // 0.5 + 2.6 = 3.1
  config.loop_delay_s = 0.1;
  CHECK(propose_cut(ring_at(1000.0, 50.0), config).depth_db == -9.0);  // 5.0 + 2.6 = 7.6
  CHECK(propose_cut(ring_at(1000.0, 900.0), config).depth_db == -12.0);
}

TEST_CASE("each return deepens the cut by a step, down to the deepest") {
  auto ring = ring_at(1000.0, 10.0);
  double last_db = propose_cut(ring).depth_db;
  for (int returns = 1; returns < 6; ++returns) {
    ring.returns = returns;
    const double depth_db = propose_cut(ring).depth_db;
    CHECK(depth_db == std::max(last_db - 3.0, -12.0));
    last_db = depth_db;
  }
}

TEST_CASE("an uncertain frequency and a near neighbour ask for a wider cut") {
  auto ring = ring_at(1000.0);
  const double sure_q = propose_cut(ring).q;
  ring.frequency_sd_hz = 20.0;
  const double unsure_q = propose_cut(ring).q;
  CHECK(unsure_q < sure_q);
  // Half a cut's width must hold two standard deviations: Q <= f / (4 sd).
  CHECK(unsure_q <= 1000.0 / 80.0);

  ProposeConfig short_delay;
  short_delay.loop_delay_s = 0.01;  // the next whole turn of phase is 100 Hz away, not 33
  CHECK(propose_cut(ring_at(1000.0), short_delay).q < sure_q);
}

TEST_CASE("any finite measurement gives a legal cut") {
  const double inf = std::numeric_limits<double>::infinity();
  const ProposeConfig config;
  for (const double frequency_hz : {-1.0, 0.0, 20.0, 1000.0, 20000.0}) {
    for (const double value : {-1e9, 0.0, 1e9, inf, std::numeric_limits<double>::quiet_NaN()}) {
      const Cut cut = propose_cut(
          {.frequency_hz = frequency_hz, .frequency_sd_hz = value, .growth_db_per_s = value});
      CHECK(cut.centre_hz > 0.0);
      CHECK(cut.q >= config.widest_q - 0.05);
      CHECK(cut.q <= config.narrowest_q + 0.05);
      CHECK(cut.depth_db <= -config.step_db);
      CHECK(cut.depth_db >= config.deepest_db);
    }
  }
}

TEST_CASE("every ring is served once, by a cut that is deep enough where it rang") {
  const std::vector<RingMeasurement> rings{ring_at(2631.0),
                                           ring_at(812.0, 60.0),
                                           ring_at(843.0),
                                           ring_at(2634.0),
                                           ring_at(161.0),
                                           ring_at(5200.0)};
  const auto cuts = share_cuts(rings);
  std::vector<int> served(rings.size(), 0);
  for (const auto& [cut, for_rings] : cuts) {
    for (const int index : for_rings) {
      const auto i = static_cast<std::size_t>(index);
      ++served[i];
      // Half a step is what rounding to steps may leave open.
      CHECK(level_db(cut, rings[i].frequency_hz) <= propose_cut(rings[i]).depth_db + 1.5);
    }
  }
  CHECK(std::all_of(served.begin(), served.end(), [](int n) { return n == 1; }));
  CHECK(std::is_sorted(cuts.begin(), cuts.end(), [](const auto& a, const auto& b) {
    return a.cut.centre_hz < b.cut.centre_hz;
  }));
  CHECK(share_cuts({}).empty());
}

TEST_CASE("rings at the same place share one cut, a step deeper when it came back") {
  auto first = ring_at(2631.0, 10.0);
  auto second = ring_at(2632.0, 10.0);
  const auto together = share_cuts(std::vector{first, second});
  REQUIRE(together.size() == 1);
  CHECK(together[0].for_rings == std::vector{0, 1});
  second.start_s = 5.0;
  second.end_s = 6.0;
  const auto again = share_cuts(std::vector{first, second});
  REQUIRE(again.size() == 1);
  CHECK(again[0].cut.depth_db == together[0].cut.depth_db - 3.0);
}

TEST_CASE("neighbours share a wider cut where that costs less, others do not") {
  const auto near = share_cuts(std::vector{ring_at(400.0), ring_at(425.0)});
  REQUIRE(near.size() == 1);
  CHECK(near[0].cut.centre_hz == doctest::Approx(std::sqrt(400.0 * 425.0)).epsilon(0.002));
  CHECK(near[0].cut.q < propose_cut(ring_at(412.0)).q);
  CHECK(share_cuts(std::vector{ring_at(400.0), ring_at(1100.0)}).size() == 2);
}
