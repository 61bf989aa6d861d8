#include "detector/tracks.h"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <set>
#include <span>
#include <vector>

#include "detector/spectrum.h"
#include "support/tones.h"

using namespace brink::detector;
using brink::tests::Tones;

namespace {

constexpr double kRateHz = 12000.0;
constexpr int kWindow = 2048;  // 0.17 s
constexpr int kHop = 192;      // 16 ms
constexpr double kBinHz = kRateHz / kWindow;

/// Runs a sound through a spectrum and its tracks; `look` after each hop, with the time of the
/// newest sample.
Tracks follow(const std::vector<float>& samples,
              const std::function<void(const Tracks&, double now_s)>& look = {}) {
  Spectrum spectrum{kRateHz, kWindow, kHop};
  Tracks tracks{spectrum, PeakRange{10, 900}};
  std::span<const float> rest{samples};
  for (double now_s = 0.0; rest.size() >= kHop; rest = rest.subspan(kHop)) {
    spectrum.advance(rest.first(kHop));
    tracks.advance(spectrum);
    now_s += kHop / kRateHz;
    if (look) {
      look(tracks, now_s);
    }
  }
  return tracks;
}

/// The oldest track within a bin of `frequency_hz`; null when there is none.
const Track* track_at(const Tracks& tracks, double frequency_hz) {
  const Track* oldest = nullptr;
  for (const Track* track : tracks.live()) {
    const bool is_there =
        std::abs(static_cast<double>(track->frequency_hz) - frequency_hz) < kBinHz;
    if (is_there && (oldest == nullptr || track->age_hops > oldest->age_hops)) {
      oldest = track;
    }
  }
  return oldest;
}

std::function<double(double)> with_gap(double from_s, double to_s) {
  return [=](double now_s) { return now_s > from_s && now_s < to_s ? -200.0 : -20.0; };
}

}  // namespace

TEST_CASE("a steady tone is one track with its level and frequency") {
  for (const double frequency : {200.0, 1000.0, 1002.9, 3333.3}) {
    CAPTURE(frequency);
    const Tones tones = Tones(2.0, kRateHz, -90.0).add(frequency, [](double) { return -20.0; });
    const Tracks tracks = follow(tones.samples());
    const Track* track = track_at(tracks, frequency);
    REQUIRE(track != nullptr);
    CHECK(track->look(0).is_peak());
    // Noise 70 dB below moves neither by more.
    CHECK(static_cast<double>(track->look(0).level_dbfs) == doctest::Approx(-20.0).epsilon(0.005));
    CHECK(std::abs(static_cast<double>(track->frequency_hz) - frequency) < 0.02 * kBinHz);
    CHECK(track->history_hops() > 100);
    // What the phase gained in a second is the distance to the frequency at birth, in turns.
    const int looks = 62;
    const double turns = static_cast<double>(track->look(0).phase - track->look(looks).phase) /
                         (2.0 * std::numbers::pi) / (looks * kHop / kRateHz);
    CHECK(static_cast<double>(track->reference_hz) + turns ==
          doctest::Approx(frequency).epsilon(1e-5));
  }
}

TEST_CASE("a gap of 0.3 s is bridged, one of 0.7 s is not") {
  for (const double gap_s : {0.1, 0.3, 0.7}) {
    CAPTURE(gap_s);
    std::uint32_t before = 0;
    std::uint32_t after = 0;
    const Tones tones = Tones(4.0, kRateHz, -90.0).add(1000.0, with_gap(1.5, 1.5 + gap_s));
    follow(tones.samples(), [&](const Tracks& tracks, double now_s) {
      const Track* track = track_at(tracks, 1000.0);
      if (now_s < 1.5 && track != nullptr) {
        before = track->id;
      }
      if (now_s > 3.5) {
        REQUIRE(track != nullptr);
        after = track->id;
      }
    });
    REQUIRE(before != 0);
    CHECK((after == before) == (gap_s < 0.5));
  }
}

TEST_CASE("a blip is forgotten at once, so that noise leaves no old tracks") {
  const Tones tones = Tones(3.0, kRateHz, -40.0);
  follow(tones.samples(), [&](const Tracks& tracks, double now_s) {
    for (const Track* track : tracks.live()) {
      CAPTURE(now_s);
      const bool is_young = track->seen_hops < 6;
      CHECK(track->gap_hops <= (is_young ? 1 : 20));
    }
  });
}

TEST_CASE("neighbours seven bins apart are two tracks, and come sorted and with ids of their own") {
  const Tones tones = Tones(2.0, kRateHz, -90.0)
                          .add(1000.0, [](double) { return -20.0; })
                          .add(1000.0 + 7.0 * kBinHz, [](double) { return -26.0; })
                          .add(2500.0, [](double) { return -30.0; });
  const Tracks tracks = follow(tones.samples());
  std::set<std::uint32_t> ids;
  float last_hz = 0.0F;
  for (const Track* track : tracks.live()) {
    CHECK(track->frequency_hz >= last_hz);
    last_hz = track->frequency_hz;
    CHECK(track->id != 0);
    CHECK(ids.insert(track->id).second);
  }
  const Track* low = track_at(tracks, 1000.0);
  const Track* high = track_at(tracks, 1000.0 + 7.0 * kBinHz);
  REQUIRE(low != nullptr);
  REQUIRE(high != nullptr);
  CHECK(low != high);
  CHECK(static_cast<double>(low->look(0).level_dbfs) == doctest::Approx(-20.0).epsilon(0.03));
  CHECK(static_cast<double>(high->look(0).level_dbfs) == doctest::Approx(-26.0).epsilon(0.03));
}

TEST_CASE("a tone that glides by a bin in two seconds stays one track") {
  const Tones tones = Tones(3.0, kRateHz, -90.0)
                          .add_bent([](double now_s) { return 1000.0 + 0.5 * kBinHz * now_s; },
                                    [](double) { return -20.0; });
  const Tracks tracks = follow(tones.samples());
  const Track* track = track_at(tracks, 1000.0 + 1.5 * kBinHz);
  REQUIRE(track != nullptr);
  CHECK(track->age_hops > 150);
}

TEST_CASE("silence has no tracks") {
  const Tracks tracks = follow(std::vector<float>(24000, 0.0F));
  CHECK(tracks.live().empty());
}
