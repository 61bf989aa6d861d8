#pragma once

#include <string_view>

#include "panel/actions.h"

namespace brink::panel {

/// Draws a setting as a row: its key, its label, and its value at the right edge. Cuts the row off
/// `area`. Returns true when the user asked for it, by key or mouse. `key` 0: no key changes the
/// value.
bool draw_key_row(Rect& area,
                  const Actions& actions,
                  char key,
                  std::string_view label,
                  std::string_view value,
                  const Theme& theme);

}  // namespace brink::panel
