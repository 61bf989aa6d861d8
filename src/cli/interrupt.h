#pragma once

namespace brink::cli {

/// From now on SIGINT, SIGTERM and SIGHUP remove what is not finished (io::UnfinishedFile) and then
/// end the program as ever. One that the program was started without, as by nohup, stays away.
/// [main thread, once]
void watch_end_signals();

/// From now on the first of these signals only asks: the work stops at the next block and cleans up
/// after itself. A second one ends the program at once. [main thread]
void catch_interrupts();

/// The signal that asked for an end, 0 while none has. A command that stops for it returns 128 plus
/// its number, as shells expect.
[[nodiscard]] int interrupt_signal() noexcept;

}  // namespace brink::cli
