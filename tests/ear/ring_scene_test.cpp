#include "ear/ring_scene.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "loop/random.h"
#include "loop/truth.h"

using namespace brink;
using namespace brink::ear;

// The loop's own truth says whether it came out as asked for: one ring, there, about that fast.
TEST_CASE("a stage rings where it is asked to, and there alone") {
  loop::Random random{2026};
  for (int i = 0; i < 20; ++i) {
    RingSceneOptions options;
    options.wanted_hz = 125.0 * std::exp2(random.between(0.0, 6.0));
    options.growth_db_per_s = i % 2 == 0 ? 10.0 : 90.0;
    options.seed = static_cast<std::uint64_t>(100 * i);
    const RingScene ring = make_ring_scene(options);
    INFO(options.wanted_hz << " Hz at " << options.growth_db_per_s << " dB/s");
    const auto truth = loop::loop_truth(ring.scene.stage, options.length_s);
    const auto unstable =
        std::count_if(truth.near_brink.begin(), truth.near_brink.end(), [](const auto& near) {
          return near.unstable_s != loop::kNeverS;
        });
    CHECK(unstable == 1);
    CHECK(std::abs(base::cents_between(ring.ring_hz, options.wanted_hz)) < 15.0);
    // Growth times group delay is the excess to first order only, where the delay turns with gain.
    CHECK(ring.growth_db_per_s > 0.5 * options.growth_db_per_s);
    CHECK(ring.growth_db_per_s < 2.5 * options.growth_db_per_s);
  }
}

TEST_CASE("a ring out of range is refused") {
  RingSceneOptions options;
  for (const double hz : {99.0, 10001.0, std::nan("")}) {
    options.wanted_hz = hz;
    CHECK_THROWS_AS((void)make_ring_scene(options), base::Error);
  }
}
