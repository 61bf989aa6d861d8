#pragma once

#include <chrono>

namespace brink::panel {

/// Seconds of a clock that never goes back or jumps.
[[nodiscard]] inline double now_s() noexcept {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

}  // namespace brink::panel
