#pragma once

#include "cuts/link/scale.h"
#include "cuts/text_fields.h"

namespace brink::cuts {

/// Reads "linear 0:1 is -60:10", "logarithmic 0:1 is 20:20000" or "table 0:-90 0.5:-10 1:10", the
/// first word followed by "whole" where the console has whole numbers alone. Every value lies
/// between the two limits. Throws base::Error.
[[nodiscard]] Scale to_scale(const Entry& entry, double low, double high);

/// The same words again.
[[nodiscard]] const char* scale_form() noexcept;

}  // namespace brink::cuts
