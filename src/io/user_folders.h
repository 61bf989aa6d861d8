#pragma once

#include <string>

namespace brink::io {

/// Where the system wants a program to keep what it remembers for this user: settings, and data
/// such as the book. Absolute, in UTF-8; empty when there is no home. [any]
[[nodiscard]] std::string settings_folder();
[[nodiscard]] std::string data_folder();

}  // namespace brink::io
