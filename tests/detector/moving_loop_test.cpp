#include "support/moving_loop.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "detector/detector.h"

using namespace brink::detector;
using brink::tests::MovingLoop;

// One loop rings again and again while its microphone moves and its amplifier clips. Its frequency
// glides over many bins: every burst is one ring all the same.

namespace {

/// The rings that were flagged and not taken back, each as it was last told.
class Kept final : public EventSink {
 public:
  void on_event(const RingEvent& event) noexcept override {
    const auto is_known = [&](const Ring& ring) { return ring.id == event.ring.id; };
    std::erase_if(rings, is_known);
    if (event.ring.flagged_sample != kNever && event.ring.state != RingState::kWithdrawn) {
      rings.push_back(event.ring);
    }
  }

  std::vector<Ring> rings;
};

std::vector<Ring> kept_in(const MovingLoop::Sound& sound, double sample_rate_hz) {
  Kept kept;
  Detector detector{DetectorConfig{sample_rate_hz}};
  detector.push(sound.samples, kept);
  detector.finish(kept);
  return kept.rings;
}

/// How many of `rings` were flagged in this burst, on its tone.
std::ptrdiff_t count_in(const MovingLoop::Burst& burst,
                        const std::vector<Ring>& rings,
                        const MovingLoop& loop,
                        double frequency_hz) {
  constexpr double kWindowS = 0.25;  // what a long window still holds after the end
  return std::count_if(rings.begin(), rings.end(), [&](const Ring& ring) {
    const double flagged_s = static_cast<double>(ring.flagged_sample) / loop.sample_rate_hz;
    return flagged_s >= burst.from_s && flagged_s <= burst.to_s + kWindowS &&
           std::abs(ring.frequency_hz / frequency_hz - 1.0) < 0.02;
  });
}

void check_bursts(const MovingLoop& loop) {
  CAPTURE(loop.sample_rate_hz);
  CAPTURE(loop.variant);
  const MovingLoop::Sound sound = loop.play();
  const std::vector<Ring> rings = kept_in(sound, loop.sample_rate_hz);
  CHECK(rings.size() == sound.bursts.size());
  for (const MovingLoop::Burst& burst : sound.bursts) {
    CAPTURE(burst.from_s);
    CHECK(count_in(burst, rings, loop, sound.frequency_hz) == 1);
  }
}

}  // namespace

TEST_CASE("a clipping loop with a moving microphone is one ring for each burst") {
  for (const double rate_hz : {8000.0, 16000.0, 48000.0}) {
    for (const std::uint32_t variant : {101U, 102U, 103U}) {
      MovingLoop loop{.sample_rate_hz = rate_hz, .variant = variant};
      loop.bursts = rate_hz > 8000.0 ? 4 : 12;
      check_bursts(loop);
    }
  }
}

TEST_CASE("bursts of a quarter of a second are found, none of them twice") {
  // The fastest leave less than a window of growth above the noise: one in twenty is missed.
  for (const double rate_hz : {8000.0, 16000.0, 48000.0}) {
    CAPTURE(rate_hz);
    std::ptrdiff_t found = 0;
    for (const std::uint32_t variant : {101U, 102U, 103U}) {
      MovingLoop loop{.sample_rate_hz = rate_hz, .variant = variant, .bursts = 7};
      loop.least_growth_db_per_s = 300.0;
      loop.most_growth_db_per_s = 400.0;
      loop.least_loud_s = 0.05;  // after 0.2 s of growth out of the noise
      loop.most_loud_s = 0.1;
      loop.glide_ratio = 0.001;
      const MovingLoop::Sound sound = loop.play();
      const std::vector<Ring> rings = kept_in(sound, rate_hz);
      for (const MovingLoop::Burst& burst : sound.bursts) {
        const auto here = count_in(burst, rings, loop, sound.frequency_hz);
        CHECK(here <= 1);
        found += here;
      }
      CHECK(rings.size() <= sound.bursts.size());
    }
    CHECK(found >= 19);
  }
}

TEST_CASE("a ring tells the range over which it glided") {
  MovingLoop loop{.sample_rate_hz = 16000.0, .variant = 7, .bursts = 1};
  loop.least_loud_s = loop.most_loud_s = 4.0;  // once there and back
  loop.lowest_hz = 1200.0;
  const MovingLoop::Sound sound = loop.play();
  const std::vector<Ring> rings = kept_in(sound, loop.sample_rate_hz);
  REQUIRE(rings.size() == 1);
  const double glided = rings[0].frequency_high_hz / rings[0].frequency_low_hz - 1.0;
  CHECK(glided == doctest::Approx(loop.glide_ratio).epsilon(0.15));
}
