#include "show/ring_words.h"

#include <fmt/format.h>

#include <cmath>

namespace brink::show {
namespace {

constexpr double kShownDbPerS = 0.05;  // below this it reads 0.0

}  // namespace

std::string growth_words(double growth_db_per_s) {
  if (std::abs(growth_db_per_s) < kShownDbPerS) {
    return "0.0 dB/s";
  }
  return std::abs(growth_db_per_s) < 9.95 ? fmt::format("{:+.1f} dB/s", growth_db_per_s)
                                          : fmt::format("{:+.0f} dB/s", growth_db_per_s);
}

RingWords ring_words(const detector::Ring& ring) {
  constexpr double kSteadyDbPerS = 1.0;  // within a second nobody hears that much
  constexpr double kFastDbPerS = 30.0;
  constexpr double kNearLimitDbfs = -12.0;  // the meter's mark
  using detector::RingState;
  const double growth = ring.growth_db_per_s;
  RingWords words;
  words.state = ring.state;
  if (detector::is_over(ring.state)) {
    return words;
  }
  const bool is_certain = ring.flagged_sample != detector::kNever;
  if (ring.state == RingState::kFading && growth >= kSteadyDbPerS) {
    words.state = is_certain ? RingState::kRinging : RingState::kBuilding;
  } else if (ring.state != RingState::kFading && growth <= -kSteadyDbPerS) {
    words.state = RingState::kFading;
  }
  const bool goes_down = words.state == RingState::kFading;
  if (goes_down ? growth <= -kShownDbPerS : growth >= kShownDbPerS) {
    words.growth = growth_words(growth);
  } else if (words.state == RingState::kRinging) {
    words.growth = "steady";  // at the limiter
  }
  words.is_urgent = words.state == RingState::kRinging &&
                    (growth > kFastDbPerS || ring.level_dbfs >= kNearLimitDbfs);
  return words;
}

}  // namespace brink::show
