#include "app/report_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "app/report_row.h"

namespace brink::app {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json to_json(const CutRow& cut) {
  return {{"centre_hz", cut.centre_hz}, {"q", cut.q}, {"depth_db", cut.depth_db}};
}

Json to_json(const RingRow& row, bool with_state) {
  Json json{{"channel", row.channel}};
  if (with_state) {
    json["state"] = row.state;
  }
  json["frequency_hz"] = row.frequency_hz;
  json["frequency_sd_hz"] = row.frequency_sd_hz;
  json["onset_s"] = row.onset_s;
  json["flagged_s"] = to_json(row.flagged_s);
  json["ended_s"] = to_json(row.ended_s);
  json["growth_db_per_s"] = row.growth_db_per_s;
  json["peak_dbfs"] = row.peak_dbfs;
  json["confidence"] = row.confidence;
  json["note"] = row.note;
  if (row.cut) {
    json["cut"] = to_json(*row.cut);
  }
  return json;
}

Json shared_cuts_to_json(const Analysis& analysis) {
  Json list = Json::array();
  for (const cuts::SharedCut& shared : analysis.cuts) {
    Json json = to_json(to_row(shared.cut));
    json["for_rings"] = shared.for_rings;
    list.push_back(std::move(json));
  }
  return list;
}

}  // namespace

std::string report_json(const Analysis& analysis, bool with_unsure) {
  Json rings = Json::array();
  for (const FoundRing& found : analysis.rings) {
    rings.push_back(to_json(to_row(analysis, found), with_unsure));
  }
  if (with_unsure) {
    for (const FoundRing& found : analysis.unsure) {
      rings.push_back(to_json(to_row(analysis, found), true));
    }
  }
  Json report{{"schema", "brink/analysis/1"},
              {"file", analysis.file},
              {"sample_rate_hz", std::llround(analysis.sample_rate_hz)},
              {"duration_s", round_to_decimals(analysis.duration_s(), 4)},
              {"channels", analysis.channels}};
  report["rings"] = std::move(rings);
  report["cuts"] = shared_cuts_to_json(analysis);
  return report.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace brink::app
