#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/units.h"
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

const char* tap_word(loop::MatrixTap tap) {
  switch (tap) {
    case loop::MatrixTap::kMicrophone:
      return "microphone";
    case loop::MatrixTap::kChannel:
      return "channel";
    case loop::MatrixTap::kOutput:
      return "output";
    case loop::MatrixTap::kAll:
      break;
  }
  return "all";
}

Json place_json(const loop::Position& at) {
  Json json = Json::array();
  for (const double metres : {at.x_m, at.y_m, at.z_m}) {
    json.push_back(round_to_decimals(metres, 3));
  }
  return json;
}

Json microphones_json(const loop::MatrixScene& scene) {
  Json list = Json::array();
  for (std::size_t i = 0; i < scene.microphones.size(); ++i) {
    const loop::MatrixChannel& channel = scene.stage.channels[i];
    Json sends = Json::array();
    for (const double send : channel.send_lin) {
      sends.push_back(send > 0.0 ? Json(db(base::amplitude_to_db(send))) : Json(nullptr));
    }
    list.push_back({{"microphone", i + 1},
                    {"at_m", place_json(scene.microphones[i])},
                    {"gain_db", db(channel.gain_db)},
                    {"inverted", channel.is_inverted},
                    {"sends_db", std::move(sends)}});
  }
  return list;
}

Json outputs_json(const loop::MatrixScene& scene) {
  Json list = Json::array();
  for (std::size_t j = 0; j < scene.loudspeakers.size(); ++j) {
    list.push_back({{"output", j + 1}, {"at_m", place_json(scene.loudspeakers[j])}});
  }
  return list;
}

void add_shares(Json& json, const loop::Shares& shares) {
  Json microphones = Json::array();
  Json pairs = Json::array();
  for (std::size_t i = 0; i < shares.microphone.size(); ++i) {
    microphones.push_back(
        {{"microphone", i + 1}, {"share", round_to_decimals(shares.microphone[i], 4)}});
    for (std::size_t j = 0; j < shares.pair[i].size(); ++j) {
      pairs.push_back({{"microphone", i + 1},
                       {"output", j + 1},
                       {"share", round_to_decimals(shares.pair[i][j], 4)}});
    }
  }
  json["shares"] = std::move(microphones);
  json["pairs"] = std::move(pairs);
}

Json matrix_json(const MatrixStageReport& report) {
  const loop::MatrixScene& scene = report.scene;
  const double rate_hz = scene.stage.sample_rate_hz;
  Json json{{"schema", "brink/stage/1"}, {"clip", report.clip}, {"kind", ""}};
  json["sample_rate_hz"] = std::llround(rate_hz);
  json["duration_s"] =
      round_to_decimals(static_cast<double>(report.render.taps.front().size()) / rate_hz, 4);
  json["tap"] = tap_word(scene.tap);
  json["channels"] = report.render.taps.size();
  json["microphones"] = microphones_json(scene);
  json["outputs"] = outputs_json(scene);
  json["max_stable_gain_db"] =
      scene.max_stable_gain_db ? Json(db(*scene.max_stable_gain_db)) : Json(nullptr);
  Json stable = Json::array();
  if (report.render.truth.stable_gain_db) {
    stable.push_back({{"from_s", 0.0}, {"gain_db", db(*report.render.truth.stable_gain_db)}});
  }
  json["stable_gain"] = std::move(stable);
  Json rings = Json::array();
  for (const MatrixRing& ring : matrix_rings(report)) {
    Json one = ring_json(ring.label);
    Json taps = Json::array();
    for (const std::size_t tap : ring.taps) {
      taps.push_back(tap + 1);
    }
    one["heard_on"] = std::move(taps);
    add_shares(one, ring.near->shares);
    rings.push_back(std::move(one));
  }
  json["rings"] = std::move(rings);
  Json near_hz = Json::array();
  Json near = Json::array();
  for (const loop::MatrixNearBrink& one : report.render.truth.near_brink) {
    add_near_hz(near_hz, one.near);
    Json place = near_json(one.near);
    add_shares(place, one.shares);
    near.push_back(std::move(place));
  }
  json["near_brink_hz"] = std::move(near_hz);
  json["near_brink"] = std::move(near);
  return json;
}

}  // namespace

std::string stage_json(const StageReport& report) {
  return dumped(truth_json(report)) + "\n";
}

std::string stage_json(const MatrixStageReport& report) {
  return dumped(matrix_json(report)) + "\n";
}

std::vector<MatrixRing> matrix_rings(const MatrixStageReport& report) {
  std::vector<MatrixRing> rings;
  for (const loop::MatrixNearBrink& near : report.render.truth.near_brink) {
    MatrixRing ring{&near, {}, {}};
    for (std::size_t tap = 0; tap < report.render.rings.size(); ++tap) {
      for (const loop::RingLabel& label : report.render.rings[tap]) {
        if (label.frequency_hz != near.near.highest.frequency_hz) {
          continue;
        }
        const double from_s = ring.taps.empty() ? label.dominant_s
                                                : std::min(ring.label.dominant_s, label.dominant_s);
        if (ring.taps.empty() || label.peak_dbfs > ring.label.peak_dbfs) {
          ring.label = label;
        }
        ring.label.dominant_s = from_s;
        ring.taps.push_back(tap);
      }
    }
    if (!ring.taps.empty()) {
      rings.push_back(std::move(ring));
    }
  }
  std::stable_sort(rings.begin(), rings.end(), [](const MatrixRing& a, const MatrixRing& b) {
    return a.label.peak_dbfs > b.label.peak_dbfs;
  });
  return rings;
}

std::string stage_list_json(const std::vector<StageReport>& reports) {
  std::string text = "[";
  for (std::size_t at = 0; at < reports.size(); ++at) {
    text += (at == 0 ? "\n" : ",\n") + dumped(truth_json(reports[at]));
  }
  return text + "\n]\n";
}

}  // namespace brink::report
