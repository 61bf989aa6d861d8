#include <cmath>
#include <nlohmann/json.hpp>

#include "report/ring_row.h"
#include "report/stage_report.h"

namespace brink::report {
namespace {

using Json = nlohmann::ordered_json;

Json time_json(double time_s) {
  return time_s == loop::kNeverS ? Json(nullptr) : Json(round_to_decimals(time_s, 3));
}

Json hz(double frequency_hz) {
  return round_to_decimals(frequency_hz, 2);
}

Json db(double level_db) {
  return round_to_decimals(level_db, 2);
}

// The fields up to growth are those of the labelled recordings that a detector is scored on.
Json ring_json(const loop::RingLabel& ring) {
  return {{"frequency_hz", hz(ring.frequency_hz)},
          {"pole_hz", hz(ring.pole_hz)},
          {"unstable_s", time_json(ring.unstable_s)},
          {"dominant_s", time_json(ring.dominant_s)},
          {"range_hz", {hz(ring.low_hz), hz(ring.high_hz)}},
          {"peak_dbfs", round_to_decimals(ring.peak_dbfs, 1)},
          {"excess_db", db(ring.excess_db)},
          {"growth_db_per_s", round_to_decimals(ring.growth_db_per_s, 1)},
          {"stable_again_s", time_json(ring.stable_again_s)}};
}

Json near_json(const loop::NearBrink& near) {
  Json json{{"frequency_hz", hz(near.highest.frequency_hz)},
            {"highest_db", db(near.highest.gain_db)},
            {"at_s", time_json(near.highest.time_s)},
            {"unstable_s", time_json(near.unstable_s)},
            {"stable_again_s", time_json(near.stable_again_s)},
            {"range_hz", {hz(near.low_hz), hz(near.high_hz)}}};
  json["pole_hz"] = near.pole ? hz(near.pole->frequency_hz) : Json(nullptr);
  json["growth_db_per_s"] =
      near.pole ? Json(round_to_decimals(near.pole->growth_db_per_s, 2)) : Json(nullptr);
  return json;
}

// Where it was highest, and where else it went while near: a moving microphone takes it along.
void add_near_hz(Json& list, const loop::NearBrink& near) {
  list.push_back(hz(near.highest.frequency_hz));
  double last_hz = near.highest.frequency_hz;
  for (const loop::NearBrink::Moment& moment : near.path) {
    if (moment.gain_db >= -loop::kNearBrinkDb && std::abs(moment.frequency_hz - last_hz) > 1.0) {
      last_hz = moment.frequency_hz;
      list.push_back(hz(last_hz));
    }
  }
}

const char* tap_word(loop::Tap tap) {
  switch (tap) {
    case loop::Tap::kMicrophone:
      return "microphone";
    case loop::Tap::kOutput:
      return "output";
    case loop::Tap::kListener:
      break;
  }
  return "listener";
}

Json truth_json(const StageReport& report) {
  const double rate_hz = report.scene.stage.sample_rate_hz;
  Json json{{"schema", "brink/stage/1"}, {"clip", report.clip}, {"kind", report.kind}};
  if (!report.about.empty()) {
    json["about"] = report.about;
  }
  json["sample_rate_hz"] = std::llround(rate_hz);
  json["duration_s"] =
      round_to_decimals(static_cast<double>(report.render.samples.size()) / rate_hz, 4);
  json["tap"] = tap_word(report.scene.stage.tap);
  json["max_stable_gain_db"] =
      report.scene.max_stable_gain_db ? Json(db(*report.scene.max_stable_gain_db)) : Json(nullptr);
  Json stable = Json::array();
  for (const loop::StableGain& gain : report.render.truth.stable_gain) {
    stable.push_back({{"from_s", time_json(gain.from_s)}, {"gain_db", db(gain.gain_db)}});
  }
  json["stable_gain"] = std::move(stable);
  Json rings = Json::array();
  for (const loop::RingLabel& ring : report.render.rings) {
    rings.push_back(ring_json(ring));
  }
  json["rings"] = std::move(rings);
  Json near_hz = Json::array();
  Json near = Json::array();
  for (const loop::NearBrink& one : report.render.truth.near_brink) {
    add_near_hz(near_hz, one);
    near.push_back(near_json(one));
  }
  json["near_brink_hz"] = std::move(near_hz);
  json["near_brink"] = std::move(near);
  return json;
}

std::string dumped(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string stage_json(const StageReport& report) {
  return dumped(truth_json(report)) + "\n";
}

std::string stage_list_json(const std::vector<StageReport>& reports) {
  std::string text = "[";
  for (std::size_t at = 0; at < reports.size(); ++at) {
    text += (at == 0 ? "\n" : ",\n") + dumped(truth_json(reports[at]));
  }
  return text + "\n]\n";
}

}  // namespace brink::report
