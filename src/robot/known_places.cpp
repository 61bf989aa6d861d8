#include "robot/known_places.h"

#include <algorithm>
#include <cmath>

#include "cuts/appraise.h"

namespace brink::robot {
namespace {

/// Two rings nearer than this are one place. A cut moves a ring by about as much.
constexpr double kSamePlaceHz = 1.5;
/// Half of the cut's depth must still reach this far on either side of a ring. Peaks of a room are
/// some Hz wide (about 4 / T60 apart), and the next whole turn of phase is about as far away.
constexpr double kHalfWidthHz = 5.0;
/// A place that needs less gets no cut.
constexpr double kLeastDb = 0.1;

}  // namespace

void KnownPlaces::add(std::span<const RangPlace> rung, const cuts::Setting& setting) {
  for (const RangPlace& ring : rung) {
    const double level_db =
        -ring.brink_db - cuts::level_at(setting, ring.frequency_hz, sample_rate_hz_);
    const auto same = std::find_if(places_.begin(), places_.end(), [&](const Place& place) {
      return std::abs(place.frequency_hz - ring.frequency_hz) < kSamePlaceHz;
    });
    if (same == places_.end()) {
      places_.push_back({ring.frequency_hz, level_db});
    } else {
      same->level_db = std::max(same->level_db, level_db);
    }
  }
}

cuts::Plan KnownPlaces::plan(double fader_db, const cuts::Target& target, int most_moves) const {
  std::vector<cuts::Cut> wanted;
  for (const Place& place : places_) {
    const double depth_db = -fader_db - place.level_db;
    if (depth_db < -kLeastDb) {
      wanted.push_back({place.frequency_hz, 0.5 * place.frequency_hz / kHalfWidthHz, depth_db});
    }
  }
  cuts::PlanConfig config;
  config.sample_rate_hz = sample_rate_hz_;
  config.most_moves = most_moves;
  // Moves cost almost nothing up to their allowed number. The next rings show whether they were
  // worth it.
  config.move_price_db = 0.02;
  // A balanced plan gives up some depth at places that are known to ring, and unknown ones win
  // nothing for it: 2.13 instead of 2.35 dB of net gain over 14 rooms.
  config.sound = cuts::Sound::kMostGain;
  return cuts::plan_for_cuts(wanted, target, config);
}

}  // namespace brink::robot
