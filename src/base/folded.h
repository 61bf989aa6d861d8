#pragma once

#include <string>
#include <string_view>

namespace brink::base {

/// Text for searching: every character of the UTF-8 text in lower case, in every alphabet. Bytes
/// that are not UTF-8 stay as they are. [any]
[[nodiscard]] std::string folded(std::string_view text);

}  // namespace brink::base
