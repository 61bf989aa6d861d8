#pragma once

#include "listen/snapshot.h"
#include "show/last_check.h"

namespace brink::desk {

/// What the session of `snapshot` hears at that moment, for the last check. [any]
[[nodiscard]] show::HeardSound heard_sound(const listen::Snapshot& snapshot,
                                           double sample_rate_hz) noexcept;

}  // namespace brink::desk
