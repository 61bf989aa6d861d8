#pragma once

#include <string>
#include <string_view>

namespace brink::base {

/// A file's name as one line of a message: control characters, which could steer a terminal, become
/// '?'; everything else, whatever its encoding, stays as it is.
[[nodiscard]] std::string printable(std::string_view name);

}  // namespace brink::base
