#include <cstdlib>
#include <string_view>

#include "io/user_folders.h"

namespace brink::io {
namespace {

/// The XDG Base Directory Specification 0.8: a relative path is to be ignored.
std::string absolute(const char* variable) {
  // NOLINTNEXTLINE(concurrency-mt-unsafe): nothing here sets the environment
  const char* const value = std::getenv(variable);
  return value != nullptr && *value == '/' ? value : "";
}

std::string folder(const char* variable, std::string_view in_home) {
  std::string own = absolute(variable);
  if (!own.empty()) {
    return own;
  }
  const std::string home = absolute("HOME");
  return home.empty() ? "" : home + std::string(in_home);
}

}  // namespace

std::string settings_folder() {
  return folder("XDG_CONFIG_HOME", "/.config");
}

std::string data_folder() {
  return folder("XDG_DATA_HOME", "/.local/share");
}

}  // namespace brink::io
