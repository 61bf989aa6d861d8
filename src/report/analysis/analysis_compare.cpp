#include "report/analysis/analysis_compare.h"

#include <filesystem>

#include "io/paths.h"
#include "listen/danger.h"
#include "report/analysis/analysis_json.h"
#include "report/book/book_merge.h"

namespace brink::report {
namespace {

/// Both recordings name their outputs alike.
show::ShowRecord to_show(const listen::Analysis& analysis) {
  show::ShowRecord show;
  show.name = io::to_path(analysis.file).filename().string();
  const MergeConfig config{{}, {}, "recording", {}};
  const listen::Analysis unfolded =
      listen::only_rows(analysis, listen::to_rows(analysis.rings, listen::RowOrder::kTime));
  show.outputs = parse_analysis(report_json(unfolded, false), analysis.file, config);
  return show;
}

}  // namespace

ComparedRecordings compare_recordings(const listen::Analysis& before,
                                      const listen::Analysis& now,
                                      double tolerance_cents) {
  ComparedRecordings compared{to_show(before), to_show(now), {}};
  compared.visits = show::compare_visits(compared.before, compared.now, tolerance_cents);
  return compared;
}

}  // namespace brink::report
