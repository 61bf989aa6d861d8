#pragma once

#include <cstddef>
#include <string>

#include "panel/window/input.h"

namespace brink::panel {

/// A line of text that is typed, in UTF-8, with its cursor. It takes the queued presses. A field of
/// ImGui waits two passes for the keys, and loses what is typed meanwhile.
class TextLine {
 public:
  explicit TextLine(std::string text = {});

  /// A character goes in at the cursor. Left, right, home and end move the cursor. Backspace and
  /// delete remove a character. Other presses do nothing.
  void press(const Press& press);

  [[nodiscard]] const std::string& text() const noexcept { return text_; }

  [[nodiscard]] std::string before_cursor() const { return text_.substr(0, cursor_); }

 private:
  [[nodiscard]] std::size_t before(std::size_t place) const noexcept;
  [[nodiscard]] std::size_t after(std::size_t place) const noexcept;

  std::string text_;
  std::size_t cursor_ = 0;  // in bytes, always at the start of a character
};

}  // namespace brink::panel
