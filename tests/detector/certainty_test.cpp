#include "detector/certainty.h"

#include <doctest/doctest.h>

#include <span>
#include <vector>

#include "support/tones.h"

using namespace brink::detector;
using brink::tests::Tones;

namespace {

constexpr double kRateHz = 16000.0;

double steady(double /*now_s*/) {
  return -30.0;
}

/// After a stream, as heard while nothing rings or while something does.
Certainty after(const Tones& tones, bool is_ringing = false) {
  Scales scales{kRateHz};
  Certainty certainty{0.0};
  const auto hop = static_cast<std::size_t>(scales.hop_samples());
  std::span<const float> rest{tones.samples()};
  for (; rest.size() >= hop; rest = rest.subspan(hop)) {
    scales.advance(rest.first(hop));
    certainty.hear(scales, is_ringing);
  }
  return certainty;
}

Tones chord() {
  Tones tones{10.0, kRateHz, -70.0};
  for (const double frequency_hz : {220.0, 277.2, 329.6, 440.0, 554.4, 659.3}) {
    tones.add(frequency_hz, steady);
  }
  return tones;
}

struct Line {
  Track track;
  SoundingRing sounding;

  Line(double frequency_hz, float standing) {
    track.standing = standing;
    sounding.ring.frequency_hz = frequency_hz;
    sounding.lead = &track;
  }
};

}  // namespace

TEST_CASE(
    "a line that grows needs more evidence beside music, one that stands or lies high does not") {
  const Line grows{500.0, kNothingStands};
  const Line stands{500.0, 0.5F};
  const Line high{3000.0, kNothingStands};
  const Certainty quiet = after(Tones{10.0, kRateHz, -40.0});
  const Certainty music = after(chord());
  const float usual = quiet.needed(grows.sounding, nullptr);
  CHECK(usual == doctest::Approx(0.24));
  CHECK(music.needed(grows.sounding, nullptr) > 1.5F * usual);
  CHECK(music.needed(stands.sounding, nullptr) == usual);
  CHECK(music.needed(high.sounding, nullptr) == usual);
}

TEST_CASE("lines that are held while a ring sounds are not taken for music") {
  const Line grows{500.0, kNothingStands};
  CHECK(after(chord(), true).needed(grows.sounding, nullptr) == doctest::Approx(0.24));
}

TEST_CASE("a place where the loop rang needs less evidence, one of a withdrawn ring more") {
  const Line grows{500.0, kNothingStands};
  const Certainty certainty{0.0};
  Place place;
  place.times = 1;
  const float usual = certainty.needed(grows.sounding, nullptr);
  CHECK(certainty.needed(grows.sounding, &place) < usual);
  place.doubted_times = 1;
  CHECK(certainty.needed(grows.sounding, &place) > 2.0F * usual);
  place.times = 2;
  CHECK(certainty.needed(grows.sounding, &place) == usual);
}

TEST_CASE("the longer a ring sounds, the more evidence it needs to stay in a report") {
  CHECK(Certainty::is_borne_out(0.4F, 0.0));
  CHECK_FALSE(Certainty::is_borne_out(0.3F, 0.0));
  CHECK_FALSE(Certainty::is_borne_out(0.4F, 1.0));
  CHECK(Certainty::is_borne_out(1.5F, 2.9));
  CHECK_FALSE(Certainty::is_borne_out(1.5F, 3.1));
  CHECK(Certainty::is_borne_out(2.3F, 60.0));
}
