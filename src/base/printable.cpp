#include "base/printable.h"

#include <algorithm>

namespace brink::base {

std::string printable(std::string_view name) {
  constexpr unsigned char kDelete = 0x7F;
  std::string line(name);
  std::replace_if(
      line.begin(),
      line.end(),
      [](char c) {
        const auto code = static_cast<unsigned char>(c);
        return code < ' ' || code == kDelete;
      },
      '?');
  return line;
}

}  // namespace brink::base
