#pragma once

#include <string>
#include <string_view>

#include "listen/analysis.h"

namespace brink::report {

/// How its header begins, by which `brink analyse` knows such a file again.
inline constexpr const char* kCsvBeginning = "file,channel,state,";
/// The header line. Write it once, before the first file.
[[nodiscard]] std::string report_csv_header();
/// One row for each ring, with quotes as in RFC 4180. Lines end in LF. An empty field means
/// "never".
[[nodiscard]] std::string report_csv(const listen::Analysis& analysis, bool with_unsure);
/// A field: quoted when it holds a comma, a quote or a line break, with quotes doubled. Text that a
/// spreadsheet would take for a formula (= + - @ or a tab at the front) gets an apostrophe before
/// it. For text alone: numbers are written without. Source: OWASP, CSV Injection.
[[nodiscard]] std::string csv_field(std::string_view text);

}  // namespace brink::report
