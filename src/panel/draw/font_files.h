#pragma once

#include <string>

namespace brink::panel {

/// The files of brink's letters. Where the system has not that font, its nearest one. Empty when it
/// has none.
struct FontFiles {
  std::string regular;
  std::string semibold;
};

[[nodiscard]] FontFiles find_fonts();

}  // namespace brink::panel
