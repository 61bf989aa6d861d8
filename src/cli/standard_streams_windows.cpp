#include <fcntl.h>
#include <io.h>
#include <windows.h>

#include <cstdlib>

#include "cli/standard_streams.h"
#include "io/files.h"

namespace brink::cli {
namespace {

UINT console_page_before = 0;

HANDLE handle_of(int file) noexcept {
  return reinterpret_cast<HANDLE>(_get_osfhandle(file));
}

/// Where it came closed there is no handle, or one of the system's two words for none.
bool is_open(int file) noexcept {
  const HANDLE handle = handle_of(file);
  return handle != INVALID_HANDLE_VALUE && handle != reinterpret_cast<HANDLE>(-2) &&
         handle != nullptr;
}

bool had_stdin = true;
bool had_stdout = true;

}  // namespace

void prepare_streams() noexcept {
  had_stdin = is_open(io::kStdin);
  had_stdout = is_open(io::kStdout);
  for (int file = io::kStdin; file <= io::kStderr; ++file) {
    if (!is_open(file)) {
      // The lowest number that is free is this one, as those below it are taken.
      (void)_wopen(L"NUL", file == io::kStdin ? _O_WRONLY : _O_RDONLY);
    }
    _setmode(file, _O_BINARY);
  }
  // What is written to a console is UTF-8. It is told so for as long as this program runs.
  console_page_before = GetConsoleOutputCP();
  SetConsoleOutputCP(CP_UTF8);
  (void)std::atexit([] { SetConsoleOutputCP(console_page_before); });
}

bool has_stdin() noexcept {
  return had_stdin;
}

bool has_stdout() noexcept {
  return had_stdout;
}

bool is_terminal(int file) noexcept {
  DWORD mode = 0;
  return GetConsoleMode(handle_of(file), &mode) != 0;
}

}  // namespace brink::cli
