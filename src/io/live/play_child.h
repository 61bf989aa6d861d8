#pragma once

namespace brink::io {

/// The argument that makes `brink` its own play child. Hidden from the user; why a child: see
/// capture_child.h.
inline constexpr const char* kPlayChildCommand = "play-child";

/// Plays what the memory at ChildProcess::kMemoryDescriptor asks for until the parent is gone, then
/// ramps down. Returns an exit status, or does not return at all. To be called from main() alone.
[[nodiscard]] int run_play_child();

}  // namespace brink::io
