#include "report/book/book_text.h"
#include "report/row_json.h"

namespace brink::report {
namespace {

Json visit_json(const show::ShowRecord& show) {
  return {{"key", show.key},
          {"venue", show.venue},
          {"name", show.name},
          {"started_at", show.started_at}};
}

Json ring_json(const show::VisitRing& ring) {
  return {{"frequency_hz", ring.frequency_hz}, {"times", ring.times}};
}

Json rings_json(const std::vector<show::VisitRing>& rings) {
  Json json = Json::array();
  for (const show::VisitRing& ring : rings) {
    json.push_back(ring_json(ring));
  }
  return json;
}

Json number_json(const std::optional<double>& number) {
  return number ? Json(*number) : Json(nullptr);
}

Json output_json(const show::OutputComparison& output) {
  Json json{{"name", output.name},
            {"won_before_db", number_json(output.won_before_db)},
            {"won_now_db", number_json(output.won_now_db)}};
  json["again"] = Json::array();
  for (const show::RingPair& pair : output.again) {
    json["again"].push_back({{"before", ring_json(pair.before)},
                             {"now", ring_json(pair.now)},
                             {"apart_cents", round_to_decimals(pair.apart_cents, 1)}});
  }
  json["new"] = rings_json(output.fresh);
  json["quiet"] = rings_json(output.quiet);
  json["cuts_no_longer_needed"] = Json::array();
  for (const cuts::Band& cut : output.needless) {
    json["cuts_no_longer_needed"].push_back(
        {{"centre_hz", cut.centre_hz}, {"q", cut.q}, {"depth_db", cut.depth_db}});
  }
  return json;
}

}  // namespace

std::string comparison_json(const show::ShowRecord& before,
                            const show::ShowRecord& now,
                            const show::VisitComparison& comparison) {
  Json json{{"schema", "brink/book-compare/1"},
            {"before", visit_json(before)},
            {"now", visit_json(now)},
            {"tolerance_cents", comparison.tolerance_cents}};
  json["outputs"] = Json::array();
  for (const show::OutputComparison& output : comparison.outputs) {
    json["outputs"].push_back(output_json(output));
  }
  json["only_before"] = comparison.only_before;
  json["only_now"] = comparison.only_now;
  return to_line(json);
}

}  // namespace brink::report
