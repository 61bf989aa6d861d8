#include <windows.h>

#include "io/process.h"
#include "io/windows_text.h"

namespace brink::io {

std::string this_program() {
  constexpr DWORD kLongestPath = 32768;
  std::wstring path(kLongestPath, L'\0');
  path.resize(GetModuleFileNameW(nullptr, path.data(), kLongestPath));
  return to_utf8(path);
}

// There are no signals. The status is the one that shells give for them elsewhere.
void end_process(int signal) noexcept {
  constexpr unsigned kSignalled = 128;
  TerminateProcess(GetCurrentProcess(), kSignalled + static_cast<unsigned>(signal));
}

// The system's heap does so by itself.
void give_back_large_memory() noexcept {}

}  // namespace brink::io
