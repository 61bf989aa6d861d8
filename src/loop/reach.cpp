#include "loop/reach.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/error.h"
#include "loop/require.h"

namespace brink::loop {

namespace {

struct Distance {
  const char* name;
  double ReachSetup::*field;
};

constexpr std::array<Distance, 4> kDistances{
    {{"talker to microphone", &ReachSetup::talker_to_microphone},
     {"talker to listener", &ReachSetup::talker_to_listener},
     {"microphone to loudspeaker", &ReachSetup::microphone_to_loudspeaker},
     {"loudspeaker to listener", &ReachSetup::loudspeaker_to_listener}}};

void require_distance(double value, const char* field) {
  constexpr double kFarthest = 10000.0;
  if (!(value > 0.0 && value <= kFarthest)) {
    throw base::Error{
        fmt::format("{} must be above 0 and at most {:g}; got {:g}.", field, kFarthest, value)};
  }
}

void validate(const ReachSetup& setup) {
  double sum = 0.0;
  for (const Distance& distance : kDistances) {
    require_distance(setup.*distance.field, distance.name);
    sum += setup.*distance.field;
  }
  for (const Distance& distance : kDistances) {
    const double others = sum - setup.*distance.field;
    if (setup.*distance.field > others * (1.0 + 1e-9)) {
      throw base::Error{
          fmt::format("{} cannot be {:g}: the other three distances together reach only {:g}.",
                      distance.name,
                      setup.*distance.field,
                      others)};
    }
  }
  require_distance(setup.good_hearing, "good hearing distance");
  if (setup.critical_distance) {
    require_distance(*setup.critical_distance, "critical distance");
  }
  require(setup.open_microphones, 1, 64, "number of open microphones");
  require(setup.margin_db, 0.0, 20.0, "margin");
}

// Level of a source at a distance, up to a constant.
double level_db(const ReachSetup& setup, double distance) noexcept {
  const double direct_db = -20.0 * std::log10(distance);
  if (!setup.critical_distance) {
    return direct_db;
  }
  const double critical = *setup.critical_distance * *setup.critical_distance;
  return direct_db + 10.0 * std::log10(critical + distance * distance);
}

double potential_db(const ReachSetup& setup) noexcept {
  return level_db(setup, setup.talker_to_microphone) +
         level_db(setup, setup.loudspeaker_to_listener) -
         level_db(setup, setup.talker_to_listener) -
         level_db(setup, setup.microphone_to_loudspeaker) -
         10.0 * std::log10(setup.open_microphones) - setup.margin_db;
}

double needed_db(const ReachSetup& setup) noexcept {
  return level_db(setup, setup.good_hearing) - level_db(setup, setup.talker_to_listener);
}

double spare_db(const ReachSetup& setup) noexcept {
  return potential_db(setup) - needed_db(setup);
}

double value_of(Move move, const ReachSetup& setup) noexcept {
  switch (move) {
    case Move::kCloserMicrophone:
      return setup.talker_to_microphone;
    case Move::kFartherLoudspeaker:
      return setup.microphone_to_loudspeaker;
    case Move::kFewerMicrophones:
      return setup.open_microphones;
    case Move::kCloserListener:
      break;
  }
  return setup.loudspeaker_to_listener;
}

ReachSetup moved(Move move, ReachSetup setup, double to) noexcept {
  switch (move) {
    case Move::kCloserMicrophone:
      setup.talker_to_microphone = to;
      break;
    case Move::kFartherLoudspeaker:
      setup.microphone_to_loudspeaker = to;
      break;
    case Move::kFewerMicrophones:
      setup.open_microphones = static_cast<int>(to);
      break;
    case Move::kCloserListener:
      // If the talker comes nearer too, potential and need fall alike. So that makes no difference.
      setup.loudspeaker_to_listener = to;
      break;
  }
  return setup;
}

// A loudspeaker cannot be farther away than the other three distances together.
double farthest_loudspeaker(const ReachSetup& setup) noexcept {
  return setup.talker_to_microphone + setup.talker_to_listener + setup.loudspeaker_to_listener;
}

double usual_step(Move move, const ReachSetup& setup) noexcept {
  const double from = value_of(move, setup);
  switch (move) {
    case Move::kFartherLoudspeaker:
      return std::min(2.0 * from, farthest_loudspeaker(setup));
    case Move::kFewerMicrophones:
      return from - 1.0;
    case Move::kCloserMicrophone:
    case Move::kCloserListener:
      break;
  }
  return 0.5 * from;
}

// The smallest change that is enough by itself. The gain grows steadily with each of these changes.
std::optional<double> enough(Move move, const ReachSetup& setup) noexcept {
  if (spare_db(setup) >= 0.0) {
    return std::nullopt;
  }
  double from = value_of(move, setup);
  if (move == Move::kFewerMicrophones) {
    while (from > 1.0) {
      from -= 1.0;
      if (spare_db(moved(move, setup, from)) >= 0.0) {
        return from;
      }
    }
    return std::nullopt;
  }
  double to = move == Move::kFartherLoudspeaker ? farthest_loudspeaker(setup) : 0.01 * from;
  if (spare_db(moved(move, setup, to)) < 0.0) {
    return std::nullopt;
  }
  for (int halving = 0; halving < 60; ++halving) {
    const double middle = std::sqrt(from * to);
    (spare_db(moved(move, setup, middle)) >= 0.0 ? to : from) = middle;
  }
  return to;
}

}  // namespace

Reach reach(const ReachSetup& setup) {
  validate(setup);
  Reach result;
  result.potential_db = potential_db(setup);
  result.needed_db = needed_db(setup);
  result.spare_db = spare_db(setup);
  result.margin_db = setup.margin_db;
  result.works = result.spare_db >= 0.0;
  for (const Move move : {Move::kCloserMicrophone,
                          Move::kFartherLoudspeaker,
                          Move::kFewerMicrophones,
                          Move::kCloserListener}) {
    if (move == Move::kFewerMicrophones && setup.open_microphones == 1) {
      continue;
    }
    MoveGain gain;
    gain.move = move;
    gain.from = value_of(move, setup);
    gain.to = usual_step(move, setup);
    gain.gain_db = spare_db(moved(move, setup, gain.to)) - result.spare_db;
    gain.enough = enough(move, setup);
    result.moves.push_back(gain);
  }
  std::stable_sort(result.moves.begin(),
                   result.moves.end(),
                   [](const MoveGain& a, const MoveGain& b) { return a.gain_db > b.gain_db; });
  return result;
}

double critical_distance_from_room_constant(double room_constant, double directivity) {
  require_distance(room_constant, "room constant");
  require(directivity, 0.5, 200.0, "directivity");
  return 0.141 * std::sqrt(directivity * room_constant);
}

double critical_distance_from_t60_m(double volume_m3, double t60_s, double directivity) {
  require(volume_m3, 1.0, 1e6, "volume");
  require(t60_s, 0.05, 20.0, "T60");
  require(directivity, 0.5, 200.0, "directivity");
  return 0.057 * std::sqrt(directivity * volume_m3 / t60_s);
}

}  // namespace brink::loop
