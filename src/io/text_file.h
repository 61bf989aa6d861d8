#pragma once

#include <cstddef>
#include <string>

namespace brink::io {

/// All of a file, or of standard input when `path` is "-". Throws base::Error with one sentence
/// when it cannot be read, is a directory or a device, or is longer than `longest_bytes`.
[[nodiscard]] std::string read_text_file(const std::string& path,
                                         std::size_t longest_bytes = 64U << 20U);

}  // namespace brink::io
