#include "panel/draw/text_line.h"

#include <algorithm>
#include <utility>

#include "base/utf8.h"

namespace brink::panel {
namespace {

constexpr std::size_t kMostBytes = 400;

bool is_inside(char byte) noexcept {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
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
        std::string bytes;
        base::append_utf8(bytes, press.character);
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
