#include "detector/track_line.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "detector/scales.h"

using namespace brink::detector;

TEST_CASE(
    "a line through one look is level and at the peak, through many it has slope and frequency") {
  constexpr double kRateHz = 48000.0;
  constexpr double kToneHz = 1000.0;
  constexpr double kGrowthDbPerS = 20.0;
  Scales scales{kRateHz};
  const auto hop_samples = static_cast<std::size_t>(scales.hop_samples());
  std::vector<float> hop(hop_samples);
  bool has_seen_first = false;
  double deviation_at_first_hz = 0.0;
  const Scale& scale = scales.all()[1];  // 700 to 3500 Hz
  for (std::size_t start = 0; start < 100 * hop_samples; start += hop_samples) {
    for (std::size_t i = 0; i < hop_samples; ++i) {
      const double t = static_cast<double>(start + i) / kRateHz;
      const double amplitude = 1e-3 * std::pow(10.0, kGrowthDbPerS * t / 20.0);
      hop[i] = static_cast<float>(amplitude * std::sin(2.0 * std::numbers::pi * kToneHz * t));
    }
    scales.advance(hop);
    for (const Track* track : scale.tracks.live()) {
      const TrackLine line = line_through(scale, *track);
      CHECK(std::isfinite(line.growth_db_per_s));
      CHECK(std::isfinite(line.frequency_sd_hz));
      if (track->age_hops == 1 && !has_seen_first) {
        has_seen_first = true;
        deviation_at_first_hz = line.frequency_sd_hz;
        CHECK(line.growth_db_per_s == 0.0);
        CHECK(line.frequency_hz == static_cast<double>(track->frequency_hz));
      }
    }
  }
  CHECK(has_seen_first);
  REQUIRE(!scale.tracks.live().empty());
  const Track* tone = scale.tracks.live().front();
  for (const Track* track : scale.tracks.live()) {
    tone = track->seen_hops > tone->seen_hops ? track : tone;
  }
  const TrackLine line = line_through(scale, *tone);
  // Without noise the line is exact but for the window's tilt over a growing tone.
  CHECK(line.growth_db_per_s == doctest::Approx(kGrowthDbPerS).epsilon(0.01));
  CHECK(line.frequency_hz == doctest::Approx(kToneHz).epsilon(1e-5));
  CHECK(line.frequency_sd_hz < deviation_at_first_hz);
}
