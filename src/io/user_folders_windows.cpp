#include <algorithm>
#include <cstdlib>

#include "io/user_folders.h"
#include "io/windows_text.h"

namespace brink::io {
namespace {

std::string folder(const wchar_t* variable) {
  const wchar_t* const value = _wgetenv(variable);
  std::string path = value == nullptr ? "" : to_utf8(value);
  std::replace(path.begin(), path.end(), '\\', '/');
  return path;
}

}  // namespace

std::string settings_folder() {
  return folder(L"APPDATA");
}

std::string data_folder() {
  return folder(L"LOCALAPPDATA");
}

}  // namespace brink::io
