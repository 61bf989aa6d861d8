#include <nlohmann/json.hpp>

#include "report/plan_report.h"
#include "report/ring_row.h"

namespace brink::report {
namespace {

using Json = nlohmann::ordered_json;

/// A tenth of a hertz is under a hundredth of any filter's width; a hundredth of a dB is under any
/// step.
Json move_json(const cuts::Move& move, double audibility) {
  Json json;
  json[move.is_high_pass ? "corner_hz" : "centre_hz"] = round_to_decimals(move.cut.centre_hz, 1);
  if (!move.is_high_pass) {
    json["q"] = round_to_decimals(move.cut.q, 2);
    json["depth_db"] = round_to_decimals(move.cut.depth_db, 2);
    json["audibility"] = round_to_decimals(audibility, 2);
  }
  json["buys_db"] = round_to_decimals(move.buys_db, 2);
  json["costs_db"] = round_to_decimals(move.costs_db, 2);
  json["for_rings"] = move.for_rings;
  return json;
}

}  // namespace

std::string plan_json(const PlanReport& report) {
  const cuts::Plan& plan = report.plan;
  Json json{{"schema", "brink/plan/1"},
            {"target", report.target.name},
            {"from", report.is_from_loop ? "loop" : "rings"},
            {"sample_rate_hz", report.sample_rate_hz},
            {"stable_gain_won_db", round_to_decimals(plan.won_db, 2)},
            {"level_lost_db", round_to_decimals(plan.lost_db, 2)},
            {"net_gain_db", round_to_decimals(plan.net_db(), 2)}};
  const ExpectedGain expected = expected_gain(report);
  json["stable_gain_expected_db"] =
      report.is_from_loop ? Json(nullptr) : Json::array({expected.least_db, expected.most_db});
  json["sound"] = cuts::to_word(report.sound);
  json["audible_cuts"] = cuts::audible_count(plan.setting());
  json["warnings"] = report.warnings;
  json["rings"] = Json::array();
  for (const auto& ring : report.rings) {
    json["rings"].push_back({{"frequency_hz", round_to_decimals(ring.frequency_hz, 3)}});
  }
  json["unserved_rings"] = plan.unserved_rings;
  json["high_pass"] = nullptr;
  json["cuts"] = Json::array();
  const std::vector<cuts::Cut> cuts = plan.setting().cuts;
  for (const auto& move : plan.moves) {
    if (move.is_high_pass) {
      json["high_pass"] = move_json(move, 0.0);
    } else {
      const std::size_t index = json["cuts"].size();  // setting() has them in the same order
      json["cuts"].push_back(move_json(move, cuts::audibility(cuts, index)));
    }
  }
  json["next_rings"] = Json::array();
  for (const auto& crossing : plan.next_rings) {
    json["next_rings"].push_back({{"frequency_hz", round_to_decimals(crossing.frequency_hz, 2)},
                                  {"gain_db", round_to_decimals(crossing.level_db, 2)}});
  }
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace brink::report
