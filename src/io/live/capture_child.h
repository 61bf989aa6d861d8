#pragma once

#include <string>

namespace brink::io {

/// The argument that makes `brink` its own capture child. Hidden from the user: sound systems hang
/// or write to stderr when a server dies, so only a process that can be thrown away touches them.
inline constexpr const char* kCaptureChildCommand = "capture-child";
/// With it: list the inputs and end.
inline constexpr const char* kListArgument = "list";

/// Captures what the memory at ChildProcess::kMemoryDescriptor asks for until the parent is gone.
/// Returns an exit status, or does not return at all. To be called from main() alone.
[[nodiscard]] int run_capture_child();

/// Writes the inputs to stdout: "ok" and the lines of inputs.h, or one sentence.
[[nodiscard]] int run_list_child();

}  // namespace brink::io
