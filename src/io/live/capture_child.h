#pragma once

#include <string>

namespace brink::io {

/// With this argument `brink` becomes its own capture child. It is hidden from the user. When a
/// server dies, sound systems hang or write to stderr. So only a process that can be thrown away
/// uses them.
inline constexpr const char* kCaptureChildCommand = "capture-child";
/// With this further argument it lists the inputs and ends.
inline constexpr const char* kListArgument = "list";

/// Captures what the memory of the parent (memory_of_parent()) asks for, until the parent is gone.
/// Returns an exit status, or does not return. Only main() may call it.
[[nodiscard]] int run_capture_child();

/// Writes the inputs to stdout: "ok" and the lines of inputs.h, or one sentence of error.
[[nodiscard]] int run_list_child();

}  // namespace brink::io
