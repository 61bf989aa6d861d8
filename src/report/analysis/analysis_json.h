#pragma once

#include <string>

#include "listen/analysis.h"

namespace brink::report {

/// One JSON object on one line, line break included, schema "brink/analysis/1". It is valid UTF-8
/// whatever the file's name is: bytes that are not UTF-8 become U+FFFD. `with_unsure` appends the
/// rings that never were certain, without a cut, and gives every ring its `state`. The indices in
/// `for_rings` are the same with and without it.
[[nodiscard]] std::string report_json(const listen::Analysis& analysis, bool with_unsure);

}  // namespace brink::report
