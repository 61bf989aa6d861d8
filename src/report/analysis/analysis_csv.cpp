#include "report/analysis/analysis_csv.h"

#include <fmt/format.h>

#include "report/ring_row.h"

namespace brink::report {
namespace {

std::string to_field(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : std::string();
}

std::string to_line(const listen::Analysis& analysis, const listen::FoundRing& found) {
  const RingRow row = to_row(found, analysis.sample_rate_hz);
  std::string shares;
  for (const ShareRow& share : row.shares) {
    shares += fmt::format("{}{}:{}", shares.empty() ? "" : " ", share.channel, share.share);
  }
  const std::string cut =
      row.cut ? fmt::format("{},{},{}", row.cut->centre_hz, row.cut->q, row.cut->depth_db) : ",,";
  return fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}\n",
                     csv_field(analysis.file),
                     row.channel,
                     row.state,
                     row.frequency_hz,
                     row.frequency_sd_hz,
                     row.onset_s,
                     to_field(row.flagged_s),
                     to_field(row.ended_s),
                     row.growth_db_per_s,
                     row.peak_dbfs,
                     row.confidence,
                     csv_field(row.note),
                     cut,
                     csv_field(shares),
                     csv_field(analysis.names.name(row.channel)));
}

}  // namespace

std::string csv_field(std::string_view text) {
  std::string safe(text);
  if (!safe.empty() && std::string_view("=+-@\t\r").find(safe.front()) != std::string_view::npos) {
    safe.insert(safe.begin(), '\'');
  }
  if (safe.find_first_of(",\"\r\n") == std::string::npos) {
    return safe;
  }
  std::string quoted = "\"";
  for (const char c : safe) {
    quoted += c;
    if (c == '"') {
      quoted += c;
    }
  }
  return quoted + '"';
}

std::string report_csv_header() {
  return std::string(kCsvBeginning) +
         "frequency_hz,frequency_sd_hz,onset_s,flagged_s,ended_s,"
         "growth_db_per_s,peak_dbfs,confidence,note,cut_centre_hz,cut_q,cut_depth_db,shares,"
         "channel_name\n";
}

std::string report_csv(const listen::Analysis& analysis, bool with_unsure) {
  std::string text;
  for (const listen::FoundRing& found : analysis.rings) {
    text += to_line(analysis, found);
  }
  if (with_unsure) {
    for (const listen::FoundRing& found : analysis.withdrawn) {
      text += to_line(analysis, found);
    }
    for (const listen::FoundRing& found : analysis.unsure) {
      text += to_line(analysis, found);
    }
  }
  return text;
}

}  // namespace brink::report
