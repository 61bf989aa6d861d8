#include <doctest/doctest.h>

#include <vector>

#include "io/live/capture_memory.h"
#include "io/live/capture_writer.h"
#include "support/realtime/realtime_trap.h"

using namespace brink;

TEST_CASE("the audio callback's work does nothing that a real-time thread must not") {
  io::CaptureRequest request;
  request.channel_count = 8;
  request.tap_count = 2;
  request.channels[1] = 5;
  const io::CaptureMemory memory(request);
  io::CaptureWriter writer(memory);
  auto samples = memory.samples();
  const std::vector<float> block(std::size_t{4096} * 8, 0.25F);
  // Through all it can do: copy, find no room, tell a gap, be told of one, get an empty block.
  const auto work = [&] {
    for (int i = 0; i < 1000; ++i) {
      writer.on_block(block.data(), 4096);
      writer.on_gap_report();
      writer.on_block(nullptr, 16);
      if (i % 300 == 299) {
        samples.drop(samples.available());
      }
    }
  };
  {
    const tests::RealtimeTrap trap;
    work();
    const int violations = trap.violations();
    CAPTURE(trap.first());
    CHECK(violations == 0);
  }
  CHECK(memory.header().lost_samples > 0);
  CHECK(memory.gaps().available() > 0);
  CHECK(tests::makes_no_system_call(work));
}
