#pragma once

#include <string_view>

#include "panel/actions.h"

namespace brink::panel {

/// A setting as a row: its key, what it is, and its value at the right edge. Cuts the row off
/// `area`; true when it was asked for, by key or mouse. `key` 0: a value that no key changes.
bool draw_key_row(Rect& area,
                  const Actions& actions,
                  char key,
                  std::string_view label,
                  std::string_view value,
                  const Theme& theme);

}  // namespace brink::panel
