#include "report/analysis/analysis_json.h"

#include <cmath>
#include <utility>

#include "listen/danger.h"
#include "report/ring_row.h"
#include "report/row_json.h"

namespace brink::report {
namespace {

Json shared_cuts_to_json(const listen::Analysis& analysis) {
  Json list = Json::array();
  for (const cuts::SharedCut& shared : analysis.cuts) {
    Json json = to_json(to_row(shared.cut));
    json["for_rings"] = shared.for_rings;
    list.push_back(std::move(json));
  }
  return list;
}

Json place_to_json(const listen::FoundPlace& place) {
  return {{"rings", place.rings}, {"loudest", place.loudest}};
}

Json places_to_json(const listen::Analysis& analysis) {
  Json list = Json::array();
  for (const listen::PlaceRow& row : listen::to_rows(analysis.rings, listen::RowOrder::kDanger)) {
    Json json = place_to_json(row.place);
    json["left_db"] = round_to_decimals(row.danger.left_db, 1);
    json["rank_db"] = round_to_decimals(row.danger.rank_db, 1);
    json["folded"] = Json::array();
    for (const listen::FoldedPlace& folded : row.folded) {
      json["folded"].push_back(place_to_json(folded.place));
      json["folded"].back()["reason"] = to_word(folded.reason);
    }
    list.push_back(std::move(json));
  }
  return list;
}

}  // namespace

std::string report_json(const listen::Analysis& analysis, bool with_unsure) {
  Json rings = Json::array();
  for (const listen::FoundRing& found : analysis.rings) {
    rings.push_back(to_json(to_row(found, analysis.sample_rate_hz, analysis.names), with_unsure));
  }
  if (with_unsure) {
    for (const listen::FoundRing& found : analysis.unsure) {
      rings.push_back(to_json(to_row(found, analysis.sample_rate_hz, analysis.names), true));
    }
  }
  Json withdrawn = Json::array();
  for (const listen::FoundRing& found : analysis.withdrawn) {
    withdrawn.push_back(to_json(to_row(found, analysis.sample_rate_hz, analysis.names), true));
  }
  Json report{{"schema", "brink/analysis/1"},
              {"file", analysis.file},
              {"sample_rate_hz", std::llround(analysis.sample_rate_hz)},
              {"duration_s", round_to_decimals(analysis.duration_s(), 4)},
              {"channels", analysis.channels}};
  report["rings"] = std::move(rings);
  report["withdrawn"] = std::move(withdrawn);
  report["places"] = places_to_json(analysis);
  report["cuts"] = shared_cuts_to_json(analysis);
  return to_line(report);
}

}  // namespace brink::report
