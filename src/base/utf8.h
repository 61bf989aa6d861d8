#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace brink::base {

/// One character at the front of a text.
struct Utf8Character {
  char32_t code = 0;
  std::size_t bytes = 1;  ///< 1 for a byte that begins no character
  bool is_valid = false;  ///< well-formed UTF-8 (RFC 3629)
};

/// Of a text that is not empty. [any]
[[nodiscard]] Utf8Character first_character(std::string_view text) noexcept;

/// Nothing for a number that is no character.
void append_utf8(std::string& text, char32_t code);

/// A byte that belongs to no character counts as one. [any]
[[nodiscard]] std::size_t count_characters(std::string_view text) noexcept;

}  // namespace brink::base
