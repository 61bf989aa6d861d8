#include "io/windows_text.h"

#include <windows.h>

#include <cerrno>
#include <system_error>

namespace brink::io {

std::wstring to_wide(std::string_view text) {
  const int size = static_cast<int>(text.size());
  std::wstring wide(
      static_cast<std::size_t>(MultiByteToWideChar(CP_UTF8, 0, text.data(), size, nullptr, 0)),
      L'\0');
  MultiByteToWideChar(CP_UTF8, 0, text.data(), size, wide.data(), static_cast<int>(wide.size()));
  return wide;
}

std::string to_utf8(std::wstring_view text) {
  const int size = static_cast<int>(text.size());
  std::string narrow(static_cast<std::size_t>(WideCharToMultiByte(
                         CP_UTF8, 0, text.data(), size, nullptr, 0, nullptr, nullptr)),
                     '\0');
  WideCharToMultiByte(CP_UTF8,
                      0,
                      text.data(),
                      size,
                      narrow.data(),
                      static_cast<int>(narrow.size()),
                      nullptr,
                      nullptr);
  return narrow;
}

int last_fault() noexcept {
  const DWORD fault = GetLastError();
  if (fault == ERROR_NO_DATA || fault == ERROR_BROKEN_PIPE || fault == ERROR_PIPE_NOT_CONNECTED) {
    return EPIPE;  // whoever read has left; the last is what Wine says of a pipe of Linux
  }
  const std::error_condition meaning =
      std::system_category().default_error_condition(static_cast<int>(fault));
  return meaning.category() == std::generic_category() ? meaning.value() : EIO;
}

}  // namespace brink::io
