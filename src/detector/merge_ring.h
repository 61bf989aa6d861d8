#pragma once

#include "detector/ring.h"

namespace brink::detector {

/// What a later event adds to what is known of a ring. The measurements that count are those up to
/// its height: on the way down the line sinks into programme and its neighbours, and the slope is a
/// decay, which says nothing about the loop at the brink; a ring that is gone carries its growth
/// again. `gone` leaves the state that it had.
[[nodiscard]] Ring merge_ring(const Ring& known, const Ring& later) noexcept;

}  // namespace brink::detector
