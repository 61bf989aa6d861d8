#include "report/analysis/analysis_labels.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/ring_row.h"

namespace brink::report {
namespace {

std::string words(const listen::Analysis& analysis,
                  const listen::FoundRing& found,
                  const RingRow& row) {
  std::string text = fmt::format("{:.0f} Hz, grew {:.0f} dB a second, {:.0f} % sure",
                                 row.frequency_hz,
                                 row.growth_db_per_s,
                                 100.0 * row.confidence);
  if (analysis.channels > 1) {
    text += ", " + show::where_words(found.channel, found.shares, analysis.names);
  }
  return text + (row.cut ? fmt::format("; cut {:g} Hz by {:g} dB at Q {:g}",
                                       row.cut->centre_hz,
                                       -row.cut->depth_db,
                                       row.cut->q)
                         : "; never certain");
}

std::string to_line(const listen::Analysis& analysis, const listen::FoundRing& found) {
  const RingRow row = to_row(found, analysis.sample_rate_hz);
  const double end_s = std::max(row.onset_s, row.ended_s.value_or(analysis.duration_s()));
  return fmt::format("{:.6f}\t{:.6f}\t{}\n", row.onset_s, end_s, words(analysis, found, row));
}

}  // namespace

std::string report_labels(const listen::Analysis& analysis, bool with_unsure) {
  std::string text;
  for (const listen::FoundRing& found : analysis.rings) {
    text += to_line(analysis, found);
  }
  if (with_unsure) {
    for (const listen::FoundRing& found : analysis.unsure) {
      text += to_line(analysis, found);
    }
  }
  return text;
}

}  // namespace brink::report
