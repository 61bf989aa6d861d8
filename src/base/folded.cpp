#include "base/folded.h"

#include <utf8proc.h>

#include "base/utf8.h"

namespace brink::base {

std::string folded(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const Utf8Character character = first_character(text);
    if (character.is_valid) {
      const auto lower = utf8proc_tolower(static_cast<utf8proc_int32_t>(character.code));
      append_utf8(out, static_cast<char32_t>(lower));
    } else {
      out += text.front();
    }
    text.remove_prefix(character.bytes);
  }
  return out;
}

}  // namespace brink::base
