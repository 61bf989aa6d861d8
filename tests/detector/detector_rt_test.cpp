#include <doctest/doctest.h>

#include <algorithm>
#include <span>
#include <vector>

#include "detector/detector.h"
#include "support/realtime/realtime_trap.h"
#include "support/sounds.h"

using namespace brink;

namespace {

class Count final : public detector::EventSink {
 public:
  void on_event(const detector::RingEvent& /*event*/) noexcept override { ++events; }

  int events = 0;
};

}  // namespace

TEST_CASE("a detector at work neither allocates nor locks nor calls the system") {
  const std::vector<float> ring = tests::RingSound{}.samples();
  const std::vector<float> noise = tests::white_noise(1.0, 48000.0, -6.0, 2);
  detector::Detector detector{detector::DetectorConfig{}};
  Count sink;
  std::size_t seen = 0;
  const auto work = [&] {
    for (const std::vector<float>* samples : {&noise, &ring}) {
      for (std::size_t start = 0; start < samples->size(); start += 441) {
        const std::size_t count = std::min<std::size_t>(441, samples->size() - start);
        detector.push(std::span{*samples}.subspan(start, count), sink);
      }
    }
    seen = detector.tracks().size() + detector.spectrum_dbfs().size();
    detector.finish(sink);
  };
  {
    const tests::RealtimeTrap trap;
    work();
    const int violations = trap.violations();
    CAPTURE(trap.first());
    CHECK(violations == 0);
  }
  // The work was done: a ring came and went.
  CHECK(sink.events >= 3);
  CHECK(seen > 0);
  CHECK(tests::makes_no_system_call(work));
}
