#include "listen/together.h"

#include <doctest/doctest.h>

#include <set>
#include <vector>

using namespace brink;
using listen::TapSnapshot;

namespace {

detector::TrackView track(std::uint64_t id,
                          double frequency_hz,
                          double level_dbfs,
                          std::uint32_t ring_id = 0) {
  detector::TrackView view;
  view.track_id = id;
  view.frequency_hz = frequency_hz;
  view.level_dbfs = level_dbfs;
  view.ring_id = ring_id;
  return view;
}

TapSnapshot tap(int number, double peak_dbfs, std::vector<detector::TrackView> tracks) {
  TapSnapshot snapshot;
  snapshot.tap = number;
  snapshot.level.peak_dbfs = peak_dbfs;
  snapshot.level.rms_dbfs = peak_dbfs - 10.0;
  snapshot.tracks = std::move(tracks);
  return snapshot;
}

}  // namespace

TEST_CASE("a ring on several taps is one mark, where it is loudest") {
  const std::vector<TapSnapshot> taps{
      tap(1, -20.0, {track(7, 1000.0, -40.0, 3)}),
      tap(2, -12.0, {track(7, 1000.4, -30.0, 3), track(9, 1001.0, -35.0, 4)})};
  TapSnapshot together;
  listen::put_together(taps, together);
  CHECK(together.tap == 0);
  REQUIRE(together.tracks.size() == 2);
  CHECK(together.tracks[0].frequency_hz == 1000.4);
  CHECK(together.tracks[1].ring_id == 4);  // another ring 0.6 Hz away stays itself
}

TEST_CASE("programme is drawn once where several taps hear it, and not beside a ring") {
  const std::vector<TapSnapshot> taps{
      tap(1, -20.0, {track(1, 440.0, -40.0), track(2, 2000.0, -50.0), track(3, 880.0, -60.0)}),
      tap(2, -12.0, {track(1, 440.1, -30.0), track(2, 2004.0, -20.0, 5)})};
  TapSnapshot together;
  listen::put_together(taps, together);
  std::set<std::uint64_t> ids;
  std::set<double> frequencies_hz;
  for (const detector::TrackView& line : together.tracks) {
    ids.insert(line.track_id);
    frequencies_hz.insert(line.frequency_hz);
  }
  CHECK(frequencies_hz == std::set<double>{440.1, 880.0, 2004.0});
  CHECK(ids.size() == together.tracks.size());  // track 1 of both taps would share a trail
}

TEST_CASE("the level together is the loudest tap's, and silence is that of all taps") {
  std::vector<TapSnapshot> taps{tap(1, -20.0, {}), tap(2, -12.0, {})};
  taps[0].level.is_silent = true;
  taps[0].level.is_clipping = true;
  TapSnapshot together;
  listen::put_together(taps, together);
  CHECK(together.level.peak_dbfs == -12.0);
  CHECK(together.level.rms_dbfs == -22.0);
  CHECK(together.level.is_clipping);
  CHECK_FALSE(together.level.is_silent);
  taps[1].level.is_silent = true;
  listen::put_together(taps, together);
  CHECK(together.level.is_silent);
}

TEST_CASE("together the forecast is the one that expects a ring soonest") {
  std::vector<TapSnapshot> taps{tap(1, -20.0, {}), tap(2, -12.0, {}), tap(3, -12.0, {})};
  taps[1].forecast.places = {{1000.0, 1.0, 4.0, 0.5, 10.0}};
  taps[2].forecast.places = {{500.0, 1.0, 2.0, 0.5, 10.0}};
  TapSnapshot together;
  listen::put_together(taps, together);
  REQUIRE(together.forecast.places.size() == 1);
  CHECK(together.forecast.places[0].frequency_hz == 500.0);
}
