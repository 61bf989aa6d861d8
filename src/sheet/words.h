#pragma once

#include <string>

#include "sheet/facts.h"

namespace brink::sheet {

/// What the picture and the table of an output say, in sentences. Plain text, not escaped yet;
/// holds nothing that somebody typed. Long lists are summed up: the table has them whole.

[[nodiscard]] std::string plain_cuts(const SheetOutput& output);
[[nodiscard]] std::string plain_rings(const SheetOutput& output);
[[nodiscard]] std::string plain_rounds(const SheetOutput& output);
/// Says where to leave the fader, and why.
[[nodiscard]] std::string plain_margin(const SheetOutput& output);

/// "1854 Hz by 6.0 dB at Q 16", "high-pass at 80 Hz".
[[nodiscard]] std::string plain_cut(const SheetCut& cut);

/// "8 parametric bands and a high-pass", "a graphic of 31 bands"; "a target that cannot be read".
[[nodiscard]] std::string plain_target(const SheetOutput& output);

}  // namespace brink::sheet
