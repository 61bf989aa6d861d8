#pragma once

#include <string>
#include <string_view>

#include "listen/analysis.h"

namespace brink::report {

/// The header line, once before the first file.
[[nodiscard]] std::string report_csv_header();
/// One row for each ring, quoted as RFC 4180 has it; lines end in LF. An empty field means "never".
[[nodiscard]] std::string report_csv(const listen::Analysis& analysis, bool with_unsure);
/// A field: quoted when it holds a comma, a quote or a line break, with quotes doubled.
[[nodiscard]] std::string csv_field(std::string_view text);

}  // namespace brink::report
