#include "base/number_text.h"

#include <array>
#include <charconv>

namespace brink::base {

namespace {

std::string text(double value, std::chars_format format, int precision) {
  std::array<char, 330> room{};  // the largest double has 309 digits before its point
  const auto result =
      std::to_chars(room.data(), room.data() + room.size(), value, format, precision);
  return {room.data(), result.ptr};
}

}  // namespace

std::string fixed_text(double value, int decimals) {
  return text(value, std::chars_format::fixed, decimals);
}

std::string general_text(double value) {
  constexpr int kFigures = 9;
  return text(value, std::chars_format::general, kFigures);
}

}  // namespace brink::base
