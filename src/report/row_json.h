#pragma once

// Heavy; for the few files of this folder that write JSON.
#include <nlohmann/json.hpp>

#include "report/ring_row.h"

namespace brink::report {

using Json = nlohmann::ordered_json;

[[nodiscard]] Json to_json(const CutRow& cut);
/// `with_state`: adds the key `state`.
[[nodiscard]] Json to_json(const RingRow& row, bool with_state);

/// On one line, newline included. Bytes that are no UTF-8 become U+FFFD.
[[nodiscard]] std::string to_line(const Json& json);

}  // namespace brink::report
