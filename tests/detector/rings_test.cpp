#include "detector/rings.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "base/units.h"
#include "detector/confidence.h"
#include "detector/detector.h"
#include "support/tones.h"

using namespace brink::base;
using namespace brink::detector;
using brink::tests::growing;
using brink::tests::Tones;

// Sounds in closed form, heard through the whole detector: what rings, and what does not.

namespace {

constexpr double kRateHz = 48000.0;

class Collected final : public EventSink {
 public:
  void on_event(const RingEvent& event) noexcept override { events.push_back(event); }

  [[nodiscard]] std::vector<RingEvent> of(const char* state) const {
    std::vector<RingEvent> found;
    std::copy_if(events.begin(), events.end(), std::back_inserter(found), [&](const RingEvent& e) {
      return std::string(to_word(e.ring.state)) == state;
    });
    return found;
  }

  std::vector<RingEvent> events;
};

Collected heard(const Tones& tones) {
  Collected collected;
  Detector detector{DetectorConfig{kRateHz}};
  detector.push(tones.samples(), collected);
  detector.finish(collected);
  return collected;
}

double to_s(std::int64_t sample) {
  return static_cast<double>(sample) / kRateHz;
}

/// A note of `partials` partials, each 6 dB an octave weaker, with the level of the first.
void add_note(Tones& tones,
              double fundamental_hz,
              int partials,
              double vibrato_ratio,
              const std::function<double(double)>& level_dbfs) {
  for (int k = 1; k <= partials; ++k) {
    const double weaker_db = 20.0 * std::log10(static_cast<double>(k));
    tones.add_bent(
        [=](double now_s) {
          return k * fundamental_hz * (1.0 + vibrato_ratio * std::sin(2.0 * 3.14159 * 5.5 * now_s));
        },
        [=](double now_s) { return level_dbfs(now_s) - weaker_db; });
  }
}

}  // namespace

TEST_CASE("growth from 6 to 240 dB/s is flagged while it grows, with its own slope") {
  for (const double growth : {6.0, 12.0, 40.0, 120.0, 240.0}) {
    CAPTURE(growth);
    const double limit_s = 2.0 + 50.0 / growth;  // there it reaches -10 dBFS
    const Tones tones =
        Tones(limit_s + 1.5, kRateHz, -60.0).add(1000.0, growing(2.0, growth, -10.0));
    const Collected all = heard(tones);
    const auto ringing = all.of("ringing");
    REQUIRE(ringing.size() == 1);
    CHECK(std::abs(cents_between(ringing[0].ring.frequency_hz, 1000.0)) < 4.0);
    const double flagged_s = to_s(ringing[0].sample);
    CHECK(ringing[0].ring.flagged_sample == ringing[0].sample);
    // At its limit at the latest, and half a second for what is too fast for the windows.
    CHECK(flagged_s < std::max(limit_s, 2.0 + 0.6));
    // 60 dB under the bed's sum, a bin sees it some 35 dB earlier; not before.
    CHECK(flagged_s > 2.0 - 36.0 / growth);
    const auto gone = all.of("gone");
    const auto end = std::find_if(gone.begin(), gone.end(), [&](const RingEvent& e) {
      return e.ring.id == ringing[0].ring.id;
    });
    REQUIRE(end != gone.end());
    CHECK(end->ring.growth_db_per_s ==
          doctest::Approx(growth).epsilon(growth > 200.0 ? 0.15 : 0.05));
    CHECK(end->ring.peak_dbfs == doctest::Approx(-10.0).epsilon(0.05));
  }
}

TEST_CASE("three rings at once are three, each with its own growth") {
  const Tones tones = Tones(4.5, kRateHz, -60.0)
                          .add(430.0, growing(1.5, 25.0, -15.0))
                          .add(1370.0, growing(1.6, 45.0, -15.0))
                          .add(4100.0, growing(1.7, 80.0, -15.0));
  const auto ringing = heard(tones).of("ringing");
  REQUIRE(ringing.size() == 3);
  for (const double frequency : {430.0, 1370.0, 4100.0}) {
    CAPTURE(frequency);
    CHECK(std::any_of(ringing.begin(), ringing.end(), [&](const RingEvent& event) {
      return std::abs(cents_between(event.ring.frequency_hz, frequency)) < 4.0;
    }));
  }
}

TEST_CASE("a held organ note and its chord do not ring, at any pitch") {
  for (const double pitch : {110.0, 262.0, 523.0, 1175.0}) {
    CAPTURE(pitch);
    Tones tones(6.0, kRateHz, -65.0);
    // In 60 ms up, 4 s flat, in 80 ms down.
    const auto level = [](double now_s) {
      return -22.0 + std::min({0.0, 1000.0 * (now_s - 1.06), 800.0 * (5.0 - now_s)});
    };
    for (const double interval : {1.0, 1.26, 1.5}) {
      add_note(tones, pitch * interval, 6, 0.0, level);
    }
    CHECK(heard(tones).of("ringing").empty());
  }
}

TEST_CASE("no ring is flagged on less than the evidence that makes it certain") {
  // 0.24 nat-seconds (docs/method.md). The slower it grows out of noise, the less a look brings.
  constexpr double kSureAtLeast = 0.4;  // confidence_of(0.24)
  for (const double growth_db_per_s : {3.0, 6.0, 10.0, 20.0}) {
    for (const double noise_dbfs : {-60.0, -50.0, -40.0}) {
      CAPTURE(growth_db_per_s);
      CAPTURE(noise_dbfs);
      const Tones tones =
          Tones(9.0, kRateHz, noise_dbfs).add(1000.0, growing(1.0, growth_db_per_s, -12.0));
      for (const RingEvent& event : heard(tones).of("ringing")) {
        CHECK(event.ring.confidence >= kSureAtLeast);
      }
    }
  }
}

TEST_CASE("notes that swell with their partials do not ring") {
  for (const double pitch : {196.0, 294.0, 440.0}) {
    for (const double swell_db_per_s : {15.0, 30.0}) {
      CAPTURE(pitch);
      CAPTURE(swell_db_per_s);
      Tones tones(5.0, kRateHz, -65.0);
      const auto level = [=](double now_s) {
        const double end_s = 1.0 + 24.0 / swell_db_per_s;
        return now_s < 1.0     ? -130.0
               : now_s < end_s ? -44.0 + swell_db_per_s * (now_s - 1.0)
                               : -20.0 - 12.0 * (now_s - end_s);
      };
      add_note(tones, pitch, 8, 0.004, level);
      CHECK(heard(tones).of("ringing").empty());
    }
  }
}

TEST_CASE("a line that rises with its multiples has to wait, the same line alone has not") {
  const auto level = growing(1.5, 30.0, -15.0);
  Tones alone(3.2, kRateHz, -60.0);
  alone.add(300.0, level);
  const auto flagged = heard(alone).of("ringing");
  REQUIRE(flagged.size() == 1);
  Tones note(3.2, kRateHz, -60.0);
  add_note(note, 300.0, 6, 0.0, level);
  for (const RingEvent& event : heard(note).of("ringing")) {
    // No note rises in a straight line for 45 dB; if one did, it would be doubted for longer.
    CHECK(to_s(event.sample) > to_s(flagged[0].sample) + 0.15);
    CHECK(event.ring.confidence < 0.8);
  }
}

TEST_CASE("what a limiter makes of two rings is not flagged") {
  // Far into an amplifier's end: odd harmonics, and 2 a - b, 2 b - a and their kin, up to 10 dB
  // under the rings, rising by 30 dB out of the noise as they do.
  for (const double depth_db : {6.0, 14.0}) {
    CAPTURE(depth_db);
    const Tones tones = Tones(5.0, kRateHz, -75.0)
                            .add(755.0, growing(1.0, 30.0, -12.0))
                            .add(1242.0, growing(1.2, 30.0, -14.0))
                            .clip(-12.0 - depth_db);
    const auto ringing = heard(tones).of("ringing");
    for (const RingEvent& event : ringing) {
      CAPTURE(event.ring.frequency_hz);
      CHECK((std::abs(event.ring.frequency_hz - 755.0) < 2.0 ||
             std::abs(event.ring.frequency_hz - 1242.0) < 2.0));
    }
    CHECK(ringing.size() == 2);
  }
}

TEST_CASE("two rings that are driven on into a soft limiter do not make four") {
  // 2 a - b, 2 a + b and their kin then rise three times as fast, in a straight line and out of a
  // quiet bed: rings in all but name.
  const auto driven = [](double onset_s) {
    return [=](double now_s) {
      const double stands_dbfs = std::min(-60.0 + 40.0 * (now_s - onset_s), -24.0);
      return stands_dbfs + std::clamp(5.0 * (now_s - 2.5), 0.0, 16.0);
    };
  };
  Tones tones(8.0, kRateHz, -95.0);
  tones.add(700.0, driven(0.5)).add(1131.0, driven(0.6)).saturate(-10.0);
  const auto ringing = heard(tones).of("ringing");
  for (const RingEvent& event : ringing) {
    CAPTURE(event.ring.frequency_hz);
    CHECK((std::abs(event.ring.frequency_hz - 700.0) < 2.0 ||
           std::abs(event.ring.frequency_hz - 1131.0) < 2.0));
  }
  CHECK(ringing.size() == 2);
}

TEST_CASE("a ring that noise covers for 0.3 s is the same ring afterwards") {
  const Collected all = heard(
      Tones(5.0, kRateHz, -60.0).add(1000.0, growing(1.0, 40.0, -30.0)).add_noise(3.0, 3.3, 6.0));
  const auto ringing = all.of("ringing");
  REQUIRE(ringing.size() == 1);
  for (const RingEvent& event : all.of("gone")) {
    if (event.ring.id == ringing[0].ring.id) {
      CHECK(to_s(event.sample) > 4.9);
    }
  }
}

TEST_CASE("a ring that fades, and grows again, rings twice") {
  Tones tones(8.0, kRateHz, -60.0);
  tones.add(1000.0, [](double now_s) {
    return now_s < 3.5 ? growing(1.0, 40.0, -12.0)(now_s)
                       : std::max(-12.0 - 60.0 * (now_s - 3.5), growing(5.5, 40.0, -12.0)(now_s));
  });
  const Collected all = heard(tones);
  const auto ringing = all.of("ringing");
  REQUIRE(ringing.size() == 2);
  CHECK(ringing[0].ring.id != ringing[1].ring.id);
  CHECK(to_s(ringing[1].sample) > 5.0);
  const auto fading = all.of("fading");
  REQUIRE(!fading.empty());
  CHECK(to_s(fading[0].sample) > 3.5);
  CHECK(to_s(fading[0].sample) < 4.0);
  CHECK(fading[0].ring.growth_db_per_s < 0.0);
}

TEST_CASE("a ring at its limiter goes on ringing, and silence ends it within a second") {
  Tones tones(7.0, kRateHz, -60.0);
  tones.add(1000.0,
            [](double now_s) { return now_s > 6.0 ? -200.0 : growing(1.0, 40.0, -12.0)(now_s); });
  const Collected all = heard(tones);
  REQUIRE(all.of("ringing").size() == 1);
  for (const RingEvent& event : all.events) {
    const bool is_it = event.ring.id == all.of("ringing")[0].ring.id;
    const bool is_over = to_s(event.sample) > to_s(all.of("ringing")[0].sample);
    if (is_it && is_over) {
      CHECK(to_s(event.sample) > 6.0);
      CHECK(to_s(event.sample) < 7.0);
    }
  }
}

TEST_CASE("what nobody can hear yet needs four times the evidence") {
  // Both grow out of a bed so low that they are certain long before they are heard. One is cut
  // before it has shown more than that.
  const auto growing_until = [](double end_s) {
    Tones tones(5.0, kRateHz, -110.0);
    tones.add(1000.0, [=](double now_s) {
      return now_s < end_s ? std::min(-74.0, -110.0 + 40.0 * (now_s - 1.0)) : -200.0;
    });
    return heard(tones);
  };
  const Collected barely = growing_until(1.45);
  CHECK(barely.of("ringing").empty());
  REQUIRE(!barely.of("building").empty());
  CHECK(barely.of("gone").back().ring.confidence >= brink::detector::confidence_of(0.24F));
  const Collected plainly = growing_until(5.0);
  REQUIRE(plainly.of("ringing").size() == 1);
  CHECK(plainly.of("ringing")[0].ring.level_dbfs < -74.0);
  CHECK(plainly.of("ringing")[0].ring.confidence >= brink::detector::confidence_of(1.0F));
}

TEST_CASE("a howl that was at full scale at once is flagged, a quieter test tone is not") {
  const auto standing_at = [](double level_dbfs) {
    Tones tones(4.0, kRateHz, -60.0);
    tones.add(1000.0, [=](double now_s) { return now_s < 1.0 ? -200.0 : level_dbfs; });
    return heard(tones).of("ringing");
  };
  const auto howl = standing_at(-1.0);
  REQUIRE(howl.size() == 1);
  CHECK(to_s(howl[0].sample) < 2.5);
  CHECK(standing_at(-6.0).empty());
  // Programme has more than one tone.
  Tones chord(4.0, kRateHz, -60.0);
  chord.add(1000.0, [](double now_s) { return now_s < 1.0 ? -200.0 : -1.0; });
  chord.add(1260.0, [](double now_s) { return now_s < 1.0 ? -200.0 : -9.0; });
  CHECK(heard(chord).of("ringing").empty());
}

TEST_CASE("confidence does not fall while a ring grows, and ends high") {
  const Collected all = heard(Tones(4.0, kRateHz, -60.0).add(1000.0, growing(1.0, 40.0, -12.0)));
  double last = 0.0;
  for (const RingEvent& event : all.events) {
    CHECK(event.ring.confidence >= last);
    last = event.ring.confidence;
  }
  CHECK(last >= 0.95);
}
