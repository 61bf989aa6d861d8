#pragma once

#include <string>

namespace brink::base {

// Numbers as text, the same in every locale. The detector is also a library of its own, which needs
// nothing but the transform: hence the standard's own conversion. Shape: any value; NaN and
// infinity read "nan" and "inf".

/// With this many decimals (0 to 9): 2.5, 2 reads "2.50".
[[nodiscard]] std::string fixed_text(double value, int decimals);

/// As short as nine significant figures allow: "8000", "44100.5".
[[nodiscard]] std::string general_text(double value);

}  // namespace brink::base
