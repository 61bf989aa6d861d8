#pragma once

#include <filesystem>
#include <string>

namespace brink::io {

/// The path that a text in UTF-8 means. Every text that people give becomes a path through this
/// function: a path made of a plain text is taken for another encoding on Windows. path::string()
/// gives UTF-8 on every system. [any]
[[nodiscard]] inline std::filesystem::path to_path(const std::string& text) {
  return {std::u8string(text.begin(), text.end())};
}

}  // namespace brink::io
