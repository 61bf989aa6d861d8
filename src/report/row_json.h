#pragma once

// This header is slow to compile. Only the few files of this folder that write JSON include it.
#include <nlohmann/json.hpp>

#include "report/ring_row.h"

namespace brink::report {

using Json = nlohmann::ordered_json;

[[nodiscard]] Json to_json(const CutRow& cut);
/// `with_state` adds the key `state`.
[[nodiscard]] Json to_json(const RingRow& row, bool with_state);

/// The object on one line, line break included. Bytes that are not UTF-8 become U+FFFD.
[[nodiscard]] std::string to_line(const Json& json);

}  // namespace brink::report
