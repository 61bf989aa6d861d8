#pragma once

#include <optional>

#include "cuts/link/link.h"
#include "cuts/target.h"
#include "cuts/text_fields.h"

namespace brink::cuts {

/// Takes the fields of a link; nothing when the text has none. `target` is what the other fields
/// said. Throws base::Error that names the line and the field.
[[nodiscard]] std::optional<Link> take_link(Taker& taker, const Target& target);

}  // namespace brink::cuts
