#include "report/row_json.h"

namespace brink::report {
namespace {

Json to_json(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

}  // namespace

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
  if (row.place != 0) {
    json["place"] = row.place;
    json["frequency_low_hz"] = row.frequency_low_hz;
    json["frequency_high_hz"] = row.frequency_high_hz;
  }
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
  for (const ShareRow& share : row.shares) {
    Json one{{"channel", share.channel}};
    if (!share.name.empty()) {
      one["name"] = share.name;
    }
    one["share"] = share.share;
    one["level_dbfs"] = share.level_dbfs;
    json["shares"].push_back(std::move(one));
  }
  if (!row.where.empty()) {
    json["where"] = row.where;
  }
  if (!row.first.empty()) {
    json["first"] = row.first;
  }
  if (row.output != 0) {
    json["through"] = {{"channel", row.output}, {"share", row.output_share}};
  }
  return json;
}

std::string to_line(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace brink::report
