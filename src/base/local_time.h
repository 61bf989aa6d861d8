#pragma once

#include <ctime>

namespace brink::base {

/// How far the local time is ahead of UTC at that moment, in minutes. [any]
[[nodiscard]] int local_offset_min(std::time_t moment);

}  // namespace brink::base
