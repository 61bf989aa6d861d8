#pragma once

#include <string>
#include <string_view>

namespace brink::report {

/// Text as it stands between the tags of XML, also in an attribute in double quotes.
[[nodiscard]] std::string xml_escaped(std::string_view text);

}  // namespace brink::report
