#pragma once

#include <string>

#include "io/page/qr_code.h"

namespace brink::report {

/// The code for a terminal, two rows of modules in each line, dark on light whatever the terminal's
/// own colours are (ECMA-48), with its margin. Lines end in a line break.
[[nodiscard]] std::string qr_text(const io::QrCode& code);

}  // namespace brink::report
