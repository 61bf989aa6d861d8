#pragma once

#include <string>

namespace brink::io {

/// What to start for another process of this program. It works even after the file was replaced on
/// disk, where the system allows that. [any]
[[nodiscard]] std::string this_program();

/// Ends this process as the signal would have ended it without a handler. May be called from a
/// signal handler, and then may return before the end comes.
void end_process(int signal) noexcept;

/// From now on, a large piece of memory goes back to the system as soon as it is free. Else lists
/// that grow each time they are made anew leave holes that the next one does not fit into.
void give_back_large_memory() noexcept;

}  // namespace brink::io
