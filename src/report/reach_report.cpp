#include "report/reach_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/ring_row.h"

namespace brink::report {
namespace {

using Json = nlohmann::ordered_json;

const char* move_word(loop::Move move) {
  switch (move) {
    case loop::Move::kCloserMicrophone:
      return "closer microphone";
    case loop::Move::kFartherLoudspeaker:
      return "farther loudspeaker";
    case loop::Move::kFewerMicrophones:
      return "fewer open microphones";
    case loop::Move::kCloserListener:
      break;
  }
  return "closer listener";
}

std::string amount(loop::Move move, double value, const std::string& unit) {
  return move == loop::Move::kFewerMicrophones ? fmt::format("{:.0f}", value)
                                               : fmt::format("{:.3g} {}", value, unit);
}

/// The difference of potential and need as both are shown, so that it is theirs.
double shown_spare_db(const loop::Reach& reach, int decimals) {
  return round_to_decimals(round_to_decimals(reach.potential_db, decimals) -
                               round_to_decimals(reach.needed_db, decimals),
                           decimals);
}

/// To three figures and no nearer than the centimetre or the twentieth of a foot, towards where it
/// still is enough.
double enough_rounded(loop::Move move, double value, const std::string& unit) {
  const double finest = unit == "m" ? 100.0 : 20.0;
  const double steps_of_unit = value >= 100.0 ? 1.0 : value >= 10.0 ? 10.0 : finest;
  const double steps = value * steps_of_unit;
  return (move == loop::Move::kFartherLoudspeaker ? std::ceil(steps)
                                                  : std::max(1.0, std::floor(steps))) /
         steps_of_unit;
}

/// To the thousandth, towards where it still is enough.
double enough_json(loop::Move move, double value) {
  constexpr double kSteps = 1000.0;
  return (move == loop::Move::kFartherLoudspeaker ? std::ceil(value * kSteps)
                                                  : std::floor(value * kSteps)) /
         kSteps;
}

Json move_json(const loop::MoveGain& move) {
  Json json{{"move", move_word(move.move)},
            {"from", round_to_decimals(move.from, 3)},
            {"to", round_to_decimals(move.to, 3)},
            {"gain_db", round_to_decimals(move.gain_db, 2)}};
  json["enough"] = move.enough ? Json(enough_json(move.move, *move.enough)) : Json(nullptr);
  return json;
}

}  // namespace

std::string reach_sentence(const loop::Reach& reach) {
  const double spare_db = shown_spare_db(reach, 1);
  if (reach.works) {
    return fmt::format("It works, with {:.1f} dB to spare.", spare_db);
  }
  const double missing_db = -spare_db;
  if (missing_db <= reach.margin_db) {
    return fmt::format("{:.1f} dB are missing: of the margin of {:g} dB, {:.1f} dB would be left.",
                       missing_db,
                       reach.margin_db,
                       reach.margin_db - missing_db);
  }
  return fmt::format("It will feed back: {:.1f} dB are missing, and the margin is {:g} dB.",
                     missing_db,
                     reach.margin_db);
}

std::string move_sentence(const loop::MoveGain& move, const std::string& unit) {
  std::string text = fmt::format("{}: {} instead of {}",
                                 move_word(move.move),
                                 amount(move.move, move.to, unit),
                                 amount(move.move, move.from, unit));
  if (move.enough) {
    text += fmt::format("; enough by itself at {}",
                        amount(move.move, enough_rounded(move.move, *move.enough, unit), unit));
  }
  return text;
}

std::string reach_json(const ReachQuestion& question, const loop::Reach& reach) {
  const loop::ReachSetup& setup = question.setup;
  Json json{{"schema", "brink/reach/1"},
            {"unit", question.unit},
            {"talker_to_microphone", setup.talker_to_microphone},
            {"talker_to_listener", setup.talker_to_listener},
            {"microphone_to_loudspeaker", setup.microphone_to_loudspeaker},
            {"loudspeaker_to_listener", setup.loudspeaker_to_listener},
            {"good_hearing", setup.good_hearing}};
  json["critical_distance"] = setup.critical_distance
                                  ? Json(round_to_decimals(*setup.critical_distance, 3))
                                  : Json(nullptr);
  json["open_microphones"] = setup.open_microphones;
  json["margin_db"] = setup.margin_db;
  json["potential_db"] = round_to_decimals(reach.potential_db, 2);
  json["needed_db"] = round_to_decimals(reach.needed_db, 2);
  json["spare_db"] = shown_spare_db(reach, 2);
  json["works"] = reach.works;
  Json moves = Json::array();
  for (const loop::MoveGain& move : reach.moves) {
    moves.push_back(move_json(move));
  }
  json["moves"] = std::move(moves);
  return json.dump() + "\n";
}

std::string reach_text(const ReachQuestion& question, const loop::Reach& reach) {
  const loop::ReachSetup& setup = question.setup;
  std::string text = reach_sentence(reach) + "\n";
  text += fmt::format(
      "Potential gain {:.1f} dB (margin {:g} dB, {} open), needed {:.1f} dB; {}.\n",
      reach.potential_db,
      setup.margin_db,
      setup.open_microphones == 1 ? std::string{"1 microphone"}
                                  : fmt::format("{} microphones", setup.open_microphones),
      reach.needed_db,
      setup.critical_distance
          ? fmt::format("critical distance {:.3g} {}", *setup.critical_distance, question.unit)
          : std::string{"outdoors"});
  text += "One move by itself:\n";
  for (const loop::MoveGain& move : reach.moves) {
    text += fmt::format("  {:+5.1f} dB  {}\n", move.gain_db, move_sentence(move, question.unit));
  }
  return text;
}

}  // namespace brink::report
