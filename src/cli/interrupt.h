#pragma once

namespace brink::cli {

/// From now on Ctrl-C and SIGTERM only ask: the work stops at the next block and cleans up after
/// itself. A second one ends the program at once. [main thread]
void catch_interrupts();

/// The signal that asked for an end, 0 while none has. A command that stops for it returns 128 plus
/// its number, as shells expect.
[[nodiscard]] int interrupt_signal() noexcept;

}  // namespace brink::cli
