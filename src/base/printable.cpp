#include "base/printable.h"

#include <utf8proc.h>

#include "base/utf8.h"

namespace brink::base {
namespace {

bool is_printable(char32_t code) noexcept {
  constexpr char32_t kNonJoiner = 0x200C;
  constexpr char32_t kJoiner = 0x200D;
  switch (utf8proc_category(static_cast<utf8proc_int32_t>(code))) {
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
      return false;
    case UTF8PROC_CATEGORY_CF:
      return code == kNonJoiner || code == kJoiner;
    default:
      return true;
  }
}

/// Of another encoding; 0x80 to 0x9F are controls in ISO 8859.
bool is_printable_byte(char byte) noexcept {
  return static_cast<unsigned char>(byte) >= 0xA0U;
}

std::string replaced(std::string_view text, std::string_view kept) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const Utf8Character character = first_character(text);
    const std::string_view bytes = text.substr(0, character.bytes);
    const bool stays =
        kept.find(bytes) != std::string_view::npos ||
        (character.is_valid ? is_printable(character.code) : is_printable_byte(bytes.front()));
    out += stays ? bytes : "?";
    text.remove_prefix(character.bytes);
  }
  return out;
}

}  // namespace

std::string printable(std::string_view name) {
  return replaced(name, "");
}

std::string printable_lines(std::string_view text) {
  return replaced(text, "\n\t");
}

}  // namespace brink::base
