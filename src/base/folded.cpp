#include "base/folded.h"

#include <array>
#include <clocale>
#include <cstdint>
#include <cwctype>

namespace brink::base {
namespace {

/// The C library's table of letters. It does not depend on the user's language. It lives as long as
/// the program.
locale_t letters() {
  static const locale_t table = newlocale(LC_CTYPE_MASK, "C.UTF-8", nullptr);
  return table;
}

char32_t lower(char32_t letter) {
  if (letter < 0x80) {
    return letter >= 'A' && letter <= 'Z' ? letter + ('a' - 'A') : letter;
  }
  return letters() == nullptr
             ? letter
             : static_cast<char32_t>(towlower_l(static_cast<wint_t>(letter), letters()));
}

unsigned byte_at(std::string_view text, std::size_t index) {
  return index < text.size() ? static_cast<unsigned char>(text[index]) : 0U;
}

/// How many bytes the character at `index` has; 1 for a byte that is not UTF-8.
std::size_t length_at(std::string_view text, std::size_t index) {
  const unsigned lead = byte_at(text, index);
  const std::size_t length = lead >= 0xF0 && lead < 0xF5   ? 4
                             : lead >= 0xE0 && lead < 0xF0 ? 3
                             : lead >= 0xC2 && lead < 0xE0 ? 2
                                                           : 1;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte_at(text, index + i) & 0xC0U) != 0x80U) {
      return 1;
    }
  }
  return length;
}

char32_t decoded(std::string_view character) {
  constexpr std::array<unsigned, 5> kLeadBits{0xFF, 0xFF, 0x1F, 0x0F, 0x07};
  char32_t code = byte_at(character, 0) & kLeadBits[character.size()];
  for (std::size_t i = 1; i < character.size(); ++i) {
    code = (code << 6U) | (byte_at(character, i) & 0x3FU);
  }
  return code;
}

void append_utf8(std::string& out, char32_t code) {
  if (code < 0x80) {
    out += static_cast<char>(code);
    return;
  }
  const unsigned rest = code < 0x800 ? 1U : code < 0x10000 ? 2U : 3U;
  constexpr std::array<unsigned, 4> kLeads{0, 0xC0, 0xE0, 0xF0};
  out += static_cast<char>(kLeads[rest] | (code >> (6U * rest)));
  for (unsigned left = rest; left-- > 0;) {
    out += static_cast<char>(0x80U | ((code >> (6U * left)) & 0x3FU));
  }
}

}  // namespace

std::string folded(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t index = 0; index < text.size();) {
    const std::size_t length = length_at(text, index);
    const std::string_view character = text.substr(index, length);
    index += length;
    if (length == 1 && byte_at(character, 0) >= 0x80) {
      out += character;
    } else {
      append_utf8(out, lower(decoded(character)));
    }
  }
  return out;
}

}  // namespace brink::base
