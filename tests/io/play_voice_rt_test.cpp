#include <doctest/doctest.h>

#include <vector>

#include "io/live/play_voice.h"
#include "support/realtime/realtime_trap.h"

using namespace brink;

TEST_CASE("the output callback's work does nothing that a real-time thread must not") {
  const std::vector<float> samples(48000, 0.5F);
  io::PlayHeader header;
  header.sample_rate_hz = 48000.0;
  header.level_lin = 0.1F;
  io::PlayVoice voice(header, samples, 48000.0);
  std::vector<float> block(2 * 512);
  // Through all it can do: begin, ramp, stop, begin anew while it sounds, come to the end.
  const auto work = [&] {
    for (int i = 0; i < 400; ++i) {
      if (i % 40 == 0) {
        header.from_sample = 24000;
        header.is_wanted = true;
        header.plays.fetch_add(1);
      }
      if (i % 100 == 30) {
        header.is_wanted = false;
      }
      voice.fill(block.data(), 512, 2);
    }
  };
  {
    const tests::RealtimeTrap trap;
    work();
    const int violations = trap.violations();
    CAPTURE(trap.first());
    CHECK(violations == 0);
  }
  CHECK(header.position > 24000);
  CHECK(tests::makes_no_system_call(work));
}
