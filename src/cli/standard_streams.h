#pragma once

namespace brink::cli {

/// Before anything is opened: where stdin, stdout or stderr came closed (`<&-`), /dev/null takes
/// the number, opened the wrong way round. Reading or writing then fails as on a closed one, and no
/// file or device of our own is ever taken for it.
void fill_closed_streams() noexcept;

/// Whether there is something to read from, or to write to.
[[nodiscard]] bool has_stdin() noexcept;
[[nodiscard]] bool has_stdout() noexcept;

}  // namespace brink::cli
