#include <doctest/doctest.h>

#include <vector>

#include "base/ring_buffer.h"
#include "support/realtime/realtime_trap.h"

using namespace brink;

TEST_CASE("pushing and pulling do nothing that a real-time thread must not") {
  base::OwnedRingBuffer<float> ring(1024);
  const std::vector<float> in(300, 0.5F);
  std::vector<float> out(300);
  const auto turn = [&] {
    for (int i = 0; i < 100; ++i) {
      static_cast<void>(ring.push(in));  // full now and then: refusing must be as cheap
      static_cast<void>(ring.push(in));
      ring.pull(out);
    }
  };
  {
    const tests::RealtimeTrap trap;
    turn();
    const int violations = trap.violations();
    CAPTURE(trap.first());
    CHECK(violations == 0);
  }
  CHECK(tests::makes_no_system_call(turn));
}
