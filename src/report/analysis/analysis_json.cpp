#include "report/analysis/analysis_json.h"

#include <cmath>
#include <utility>

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

}  // namespace

std::string report_json(const listen::Analysis& analysis, bool with_unsure) {
  Json rings = Json::array();
  for (const listen::FoundRing& found : analysis.rings) {
    rings.push_back(to_json(to_row(found, analysis.sample_rate_hz), with_unsure));
  }
  if (with_unsure) {
    for (const listen::FoundRing& found : analysis.unsure) {
      rings.push_back(to_json(to_row(found, analysis.sample_rate_hz), true));
    }
  }
  Json withdrawn = Json::array();
  for (const listen::FoundRing& found : analysis.withdrawn) {
    withdrawn.push_back(to_json(to_row(found, analysis.sample_rate_hz), true));
  }
  Json report{{"schema", "brink/analysis/1"},
              {"file", analysis.file},
              {"sample_rate_hz", std::llround(analysis.sample_rate_hz)},
              {"duration_s", round_to_decimals(analysis.duration_s(), 4)},
              {"channels", analysis.channels}};
  report["rings"] = std::move(rings);
  report["withdrawn"] = std::move(withdrawn);
  report["cuts"] = shared_cuts_to_json(analysis);
  return to_line(report);
}

}  // namespace brink::report
