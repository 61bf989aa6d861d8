#pragma once

namespace brink::cli {

/// Before anything is opened. A reader that leaves or a full disk shows as a failed write, not as a
/// signal. Where stdin, stdout or stderr came closed (`<&-`), /dev/null takes
/// the number, opened the wrong way round. Reading or writing then fails as on a closed one, and no
/// file or device of our own is ever taken for it.
void prepare_streams() noexcept;

/// Whether there is something to read from, or to write to.
[[nodiscard]] bool has_stdin() noexcept;
[[nodiscard]] bool has_stdout() noexcept;

/// Whether somebody sits at the other end of this open file.
[[nodiscard]] bool is_terminal(int file) noexcept;

}  // namespace brink::cli
