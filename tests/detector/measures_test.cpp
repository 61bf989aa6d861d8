#include "detector/measures.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "detector/scales.h"
#include "support/tones.h"

using namespace brink::detector;
using brink::tests::growing;
using brink::tests::Tones;

namespace {

constexpr double kRateHz = 48000.0;

/// The line over `span_hops` that ends `end_hops` before the end of a sound, of the track nearest
/// to `frequency_hz`; with `wants_held` the line that ended where the level stopped growing.
std::optional<Measures> line_of(const std::vector<float>& samples,
                                double frequency_hz,
                                int span_hops,
                                bool wants_held = false) {
  Scales scales{kRateHz};
  Surroundings surroundings;
  const auto hop = static_cast<std::size_t>(scales.hop_samples());
  std::span<const float> rest{samples};
  for (; rest.size() >= hop; rest = rest.subspan(hop)) {
    scales.advance(rest.first(hop));
    surroundings.gather(scales.all());
  }
  std::optional<Measures> found;
  for (const Scale& scale : scales.all()) {
    if (frequency_hz < static_cast<double>(scale.lowest_hz) ||
        frequency_hz >= static_cast<double>(scale.highest_hz)) {
      continue;
    }
    for (const Track* track : scale.tracks.live()) {
      if (std::abs(static_cast<double>(track->frequency_hz) - frequency_hz) > 3.0) {
        continue;
      }
      surroundings.for_each_line(scale, *track, [&](const Measures& line, int) {
        const bool is_span =
            std::abs(static_cast<double>(line.span_s) - span_hops * scale.spectrum.hop_s()) < 1e-4;
        if (is_span && (line.held_s > 0.0F) == wants_held) {
          found = line;
        }
      });
    }
  }
  return found;
}

}  // namespace

TEST_CASE("a straight growth alone measures as what it is") {
  const Tones tones = Tones(2.4, kRateHz, -90.0).add(1000.0, growing(1.0, 30.0, 0.0));
  const auto line = line_of(tones.samples(), 1000.0, 40);
  REQUIRE(line.has_value());
  CHECK(line->span_s == doctest::Approx(0.64));
  CHECK(line->rise_db == doctest::Approx(30.0 * 0.64).epsilon(0.01));
  CHECK(line->residual_db < 0.2F);
  CHECK(std::abs(line->bow_db) < 0.3F);
  CHECK(std::abs(line->lean_db) < 0.5F);
  CHECK(line->step_db == doctest::Approx(30.0 * 4 * 0.016).epsilon(0.1));
  CHECK(line->held_s == 0.0F);
  CHECK(line->frequency_hz == doctest::Approx(1000.0).epsilon(1e-4));
  CHECK(line->wobble_rad < 0.02F);
  CHECK(std::abs(line->drift_hz) < 0.1F);
  CHECK(line->seen_share == 1.0F);
  CHECK(line->prominence_db > 30.0F);
  // The window's middle lies 85 ms back: it stands at -60 + 30 * (1.4 - 0.085) = -20.6 dBFS.
  CHECK(line->level_dbfs == doctest::Approx(-20.6).epsilon(0.05));
  CHECK(line->since_birth_db > 20.0F);
  CHECK(line->fundamental_db == -60.0F);
  CHECK(line->partial_db == -60.0F);
  CHECK(line->risers == 0.0F);
  CHECK(line->band_share_db == doctest::Approx(0.0).epsilon(0.3));
  CHECK(line->total_rise_db > 0.8F * line->rise_db);
}

TEST_CASE("a partial at a multiple and a line at a fraction are told with their rise") {
  const Tones tones = Tones(2.4, kRateHz, -90.0)
                          .add(900.0, growing(1.0, 30.0, 0.0))
                          .add(1800.0, [](double now_s) { return -66.0 + 30.0 * (now_s - 1.0); })
                          .add(1310.0, [](double) { return -40.0; });
  const auto low = line_of(tones.samples(), 900.0, 40);
  REQUIRE(low.has_value());
  CHECK(low->partial_db == doctest::Approx(-6.0).epsilon(0.05));
  CHECK(low->partial_rise_db == doctest::Approx(low->rise_db).epsilon(0.03));
  CHECK(low->fundamental_db == -60.0F);
  CHECK(low->over_others_db == doctest::Approx(6.0).epsilon(0.05));
  CHECK(low->risers == 1.0F);  // what stands does not rise along
  const auto high = line_of(tones.samples(), 1800.0, 40);
  REQUIRE(high.has_value());
  CHECK(high->fundamental_db == doctest::Approx(6.0).epsilon(0.05));
  CHECK(high->fundamental_rise_db == doctest::Approx(high->rise_db).epsilon(0.03));
  CHECK(high->partial_db == -60.0F);
  CHECK(high->over_others_db == doctest::Approx(-6.0).epsilon(0.05));
}

TEST_CASE("lines that rise along are counted, those that stand or lie 25 dB lower are not") {
  Tones tones = Tones(2.4, kRateHz, -90.0).add(1000.0, growing(1.0, 30.0, 0.0));
  for (const double frequency : {1270.0, 1530.0, 1790.0}) {
    tones.add(frequency, growing(1.0, 30.0, 0.0));
  }
  tones.add(2210.0, [](double) { return -25.0; });
  tones.add(2470.0, [](double now_s) { return -92.0 + 30.0 * (now_s - 1.0); });
  const auto line = line_of(tones.samples(), 1000.0, 40);
  REQUIRE(line.has_value());
  CHECK(line->risers == 3.0F);
}

TEST_CASE("at the limiter the growth before it is still there, with the time that it has held") {
  // It grows until 2.4 s and holds for 0.5 s.
  const Tones tones = Tones(2.9, kRateHz, -90.0).add(1000.0, growing(1.0, 30.0, -18.0));
  const auto line = line_of(tones.samples(), 1000.0, 40, true);
  REQUIRE(line.has_value());
  CHECK(line->held_s == doctest::Approx(0.5).epsilon(0.3));
  CHECK(line->rise_db == doctest::Approx(30.0 * 0.64).epsilon(0.1));
}

TEST_CASE("what stands at the limiter may waver by half a decibel") {
  // 40 dB/s from 1 s on, and half a second at -12 dBFS.
  const Tones tones = Tones(2.7, kRateHz, -70.0).add(1000.0, [](double now_s) {
    return std::min(-12.0, -60.0 + 40.0 * (now_s - 1.0)) +
           (now_s < 2.2 ? 0.0 : 0.4 * std::sin(18.0 * now_s));
  });
  const auto line = line_of(tones.samples(), 1000.0, 40, true);
  REQUIRE(line);
  CHECK(line->held_s == doctest::Approx(0.5).epsilon(0.3));
}

TEST_CASE("vibrato is wobble, a slide is drift, an attack bends and steps") {
  const auto wobbling =
      line_of(Tones(2.4, kRateHz, -90.0)
                  .add_bent([](double now_s) { return 1000.0 + 3.0 * std::sin(31.4 * now_s); },
                            growing(1.0, 30.0, 0.0))
                  .samples(),
              1000.0,
              40);
  REQUIRE(wobbling.has_value());
  CHECK(wobbling->wobble_rad > 0.1F);
  const auto sliding = line_of(
      Tones(2.4, kRateHz, -90.0)
          .add_bent([](double now_s) { return 995.0 + 2.0 * now_s; }, growing(1.0, 30.0, 0.0))
          .samples(),
      999.7,
      40);
  REQUIRE(sliding.has_value());
  // 2 Hz a second over 0.64 s.
  CHECK(sliding->drift_hz == doctest::Approx(1.28).epsilon(0.15));
  const auto attack = line_of(
      Tones(2.4, kRateHz, -90.0)
          .add(1000.0,
               [](double now_s) { return now_s < 2.0 ? -60.0 : -20.0 - 2.0 * (now_s - 2.0); })
          .samples(),
      1000.0,
      40);
  REQUIRE(attack.has_value());
  CHECK(attack->step_db > 10.0F);
  CHECK(attack->residual_db > 3.0F);
  CHECK(attack->bow_db < -1.0F);
}

TEST_CASE("a rise of less than 6 dB is no line") {
  const Tones tones = Tones(2.4, kRateHz, -90.0).add(1000.0, [](double now_s) {
    return -30.0 + 8.0 * (now_s - 1.8);
  });
  CHECK_FALSE(line_of(tones.samples(), 1000.0, 40).has_value());
  const Tones steep = Tones(2.4, kRateHz, -90.0).add(1000.0, [](double now_s) {
    return -30.0 + 11.0 * (now_s - 1.8);
  });
  CHECK(line_of(steep.samples(), 1000.0, 40).has_value());
}
