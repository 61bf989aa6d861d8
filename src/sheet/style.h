#pragma once

#include <string>
#include <string_view>

namespace brink::sheet {

/// A whole page around `body` (markup), in the one style of our sheets. `title` is escaped here.
[[nodiscard]] std::string sheet_page(std::string_view title, std::string_view body);

/// The cautions, and that local rules and qualified people come first.
[[nodiscard]] std::string safety_markup();

}  // namespace brink::sheet
