#pragma once

#include <string>
#include <string_view>

namespace brink::base {

/// A file's name as one line of a message. Control characters could steer a terminal, so each
/// becomes '?'. Everything else stays as it is, whatever its encoding.
[[nodiscard]] std::string printable(std::string_view name);

}  // namespace brink::base
