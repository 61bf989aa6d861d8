#pragma once

#include <string>

#include "sheet/facts.h"

namespace brink::sheet {

/// The rounds in which an output was measured by a quiet sweep, as markup; empty: there was none.
[[nodiscard]] std::string sweeps_part(const SheetOutput& output);

}  // namespace brink::sheet
