#include <nlohmann/json.hpp>

#include "report/ring_row.h"
#include "robot/robot_report.h"

namespace brink::robot {
namespace {

using Json = nlohmann::ordered_json;

Json db(double level_db) {
  return report::round_to_decimals(level_db, 2);
}

Json cut_json(const cuts::Cut& cut) {
  return {{"centre_hz", report::round_to_decimals(cut.centre_hz, 1)},
          {"q", report::round_to_decimals(cut.q, 2)},
          {"depth_db", db(cut.depth_db)}};
}

void add_setting(Json& json, const cuts::Setting& setting) {
  const double corner_hz = setting.high_pass.corner_hz;
  json["high_pass_hz"] =
      corner_hz > 0.0 ? Json(report::round_to_decimals(corner_hz, 1)) : Json(nullptr);
  json["cuts"] = Json::array();
  for (const cuts::Cut& cut : setting.cuts) {
    json["cuts"].push_back(cut_json(cut));
  }
}

Json round_json(const RobotRound& round) {
  Json json{{"time_s", report::round_to_decimals(round.time_s, 2)},
            {"brink_db", db(round.brink_db)}};
  json["rings"] = Json::array();
  for (const RangPlace& place : round.places) {
    json["rings"].push_back(
        {{"frequency_hz", report::round_to_decimals(place.frequency_hz, 2)},
         {"growth_db_per_s", report::round_to_decimals(place.growth_db_per_s, 1)},
         {"brink_db", db(place.brink_db)},
         {"certain", place.is_certain}});
  }
  add_setting(json, round.setting);
  json["level_lost_db"] = db(round.lost_db);
  return json;
}

}  // namespace

std::string robot_json(const RobotRun& run, const RobotConfig& config) {
  Json json{{"schema", "brink/stage-ring-out/1"},
            {"target", config.target.name},
            {"most_cuts", config.most_moves},
            {"length_s", report::round_to_decimals(run.length_s, 2)},
            {"end", to_word(run.end)}};
  json["rounds"] = Json::array();
  for (const RobotRound& round : run.rounds) {
    json["rounds"].push_back(round_json(round));
  }
  add_setting(json, cuts::to_setting(run.moves));
  json["audible_cuts"] = cuts::audible_count(cuts::to_setting(run.moves));
  json["end_fader_db"] = db(run.end_fader_db);
  json["back_off_db"] = db(config.back_off_db);
  json["stable_gain_won_db"] = db(run.won_db);
  json["level_lost_db"] = db(run.lost_db);
  json["net_gain_db"] = db(run.net_db());
  json["margin_db"] = db(run.spare_db);
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace brink::robot
