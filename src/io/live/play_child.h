#pragma once

namespace brink::io {

/// With this argument `brink` becomes its own play child. It is hidden from the user.
/// capture_child.h says why a child is needed.
inline constexpr const char* kPlayChildCommand = "play-child";

/// Plays what the memory of the parent (memory_of_parent()) asks for, until the parent is gone.
/// Then it ramps down. Returns an exit status, or does not return. Only main() may call it.
[[nodiscard]] int run_play_child();

}  // namespace brink::io
