#include "panel/draw/text_line.h"

#include <algorithm>
#include <utility>

namespace brink::panel {
namespace {

constexpr std::size_t kMostBytes = 400;

bool is_inside(char byte) noexcept {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

/// UTF-8: RFC 3629.
std::string to_utf8(char32_t character) {
  const auto byte = [](char32_t bits) {
    return static_cast<char>(static_cast<unsigned char>(bits));
  };
  if (character < 0x80) {
    return {byte(character)};
  }
  if (character < 0x800) {
    return {byte(0xC0 | (character >> 6)), byte(0x80 | (character & 0x3F))};
  }
  if (character < 0x10000) {
    return {byte(0xE0 | (character >> 12)),
            byte(0x80 | ((character >> 6) & 0x3F)),
            byte(0x80 | (character & 0x3F))};
  }
  return {byte(0xF0 | (character >> 18)),
          byte(0x80 | ((character >> 12) & 0x3F)),
          byte(0x80 | ((character >> 6) & 0x3F)),
          byte(0x80 | (character & 0x3F))};
}

}  // namespace

TextLine::TextLine(std::string text) : text_(std::move(text)), cursor_(text_.size()) {}

std::size_t TextLine::before(std::size_t place) const noexcept {
  while (place > 0 && is_inside(text_[--place])) {
  }
  return place;
}

std::size_t TextLine::after(std::size_t place) const noexcept {
  place = std::min(place + 1, text_.size());
  while (place < text_.size() && is_inside(text_[place])) {
    ++place;
  }
  return place;
}

void TextLine::press(const Press& press) {
  switch (press.key) {
    case Key::kCharacter:
      if (text_.size() < kMostBytes && press.character >= U' ') {
        const std::string bytes = to_utf8(press.character);
        text_.insert(cursor_, bytes);
        cursor_ += bytes.size();
      }
      break;
    case Key::kLeft:
      cursor_ = before(cursor_);
      break;
    case Key::kRight:
      cursor_ = after(cursor_);
      break;
    case Key::kHome:
      cursor_ = 0;
      break;
    case Key::kEnd:
      cursor_ = text_.size();
      break;
    case Key::kBackspace: {
      const std::size_t from = before(cursor_);
      text_.erase(from, cursor_ - from);
      cursor_ = from;
      break;
    }
    case Key::kDelete:
      text_.erase(cursor_, after(cursor_) - cursor_);
      break;
    default:
      break;
  }
}

}  // namespace brink::panel
