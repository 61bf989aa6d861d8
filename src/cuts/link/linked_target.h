#pragma once

#include <optional>

#include "cuts/link/link.h"
#include "cuts/target.h"

namespace brink::cuts {

/// A target and how its console is reached.
struct LinkedTarget {
  Target target;
  Link link;
};

/// What the target's source_text says of its link; nothing when it says nothing. A target of
/// parse_target() never throws here.
[[nodiscard]] std::optional<LinkedTarget> linked_target(const Target& target);

}  // namespace brink::cuts
