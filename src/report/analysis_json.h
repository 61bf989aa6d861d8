#pragma once

#include <string>

#include "listen/analysis.h"

namespace brink::report {

/// One JSON object on one line, newline included, schema "brink/analysis/1". Valid UTF-8 whatever
/// the file is called: bytes that are none become U+FFFD. `with_unsure` appends the rings that
/// never were certain, without a cut, and gives every ring its `state`; indices in `for_rings` are
/// the same either way.
[[nodiscard]] std::string report_json(const listen::Analysis& analysis, bool with_unsure);

}  // namespace brink::report
