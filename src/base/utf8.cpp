#include "base/utf8.h"

#include <utf8proc.h>

#include <array>

namespace brink::base {

Utf8Character first_character(std::string_view text) noexcept {
  utf8proc_int32_t code = -1;
  const utf8proc_ssize_t bytes =
      utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                       static_cast<utf8proc_ssize_t>(text.size()),
                       &code);
  return bytes > 0
             ? Utf8Character{static_cast<char32_t>(code), static_cast<std::size_t>(bytes), true}
             : Utf8Character{};
}

void append_utf8(std::string& text, char32_t code) {
  const auto character = static_cast<utf8proc_int32_t>(code);
  if (utf8proc_codepoint_valid(character)) {
    std::array<utf8proc_uint8_t, 4> bytes{};
    const utf8proc_ssize_t count = utf8proc_encode_char(character, bytes.data());
    text.append(bytes.begin(), bytes.begin() + count);
  }
}

std::size_t count_characters(std::string_view text) noexcept {
  std::size_t count = 0;
  for (; !text.empty(); ++count) {
    text.remove_prefix(first_character(text).bytes);
  }
  return count;
}

}  // namespace brink::base
