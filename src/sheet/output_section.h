#pragma once

#include <cstddef>
#include <string>

#include "sheet/facts.h"

namespace brink::sheet {

/// The part of a sheet about one output, `number` from 1, as markup. `of_show`: markup that says on
/// paper which show this output belongs to. The only output of a show (`is_alone`) goes on where
/// the show's part ends; others begin a page each.
[[nodiscard]] std::string output_section(const SheetOutput& output,
                                         std::size_t number,
                                         bool is_alone,
                                         const std::string& of_show);

/// Where to leave the fader, and the margin left there, as markup; in words where there is no such
/// figure.
[[nodiscard]] std::string leave_at(const SheetOutput& output);
[[nodiscard]] std::string margin_left(const SheetOutput& output);

}  // namespace brink::sheet
