#pragma once

#include <cstddef>
#include <string>

#include "panel/window/input.h"

namespace brink::panel {

/// A line of text that is typed, in UTF-8, with its cursor. Takes the queued presses: a field of
/// ImGui's loses what is typed while it waits for the keys, two passes long.
class TextLine {
 public:
  explicit TextLine(std::string text = {});

  /// A character goes in at the cursor; left, right, home and end move it; backspace and delete
  /// take a character out. Anything else is passed over.
  void press(const Press& press);

  [[nodiscard]] const std::string& text() const noexcept { return text_; }

  [[nodiscard]] std::string before_cursor() const { return text_.substr(0, cursor_); }

 private:
  [[nodiscard]] std::size_t before(std::size_t place) const noexcept;
  [[nodiscard]] std::size_t after(std::size_t place) const noexcept;

  std::string text_;
  std::size_t cursor_ = 0;  // in bytes, never within a character
};

}  // namespace brink::panel
