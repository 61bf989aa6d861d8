#pragma once

#include <string>

#include "listen/analysis.h"

namespace brink::report {

/// A label track as audio editors read it: a line for each ring with start and end in seconds of
/// the recording (six decimals) and a text without tabs, separated by tabs; lines end in LF. No
/// ring gives an empty text. What never was certain says so.
[[nodiscard]] std::string report_labels(const listen::Analysis& analysis, bool with_unsure);

}  // namespace brink::report
