#pragma once

#include <array>
#include <string>

#include "panel/pane.h"

namespace brink::panel {

/// One line of text that is typed after a key opened it: Enter takes it, Escape leaves it as it
/// was. While it is open, letters and arrows are no actions.
class TextField {
 public:
  void open(const std::string& text, const Context& context);

  void close() noexcept { is_open_ = false; }

  [[nodiscard]] bool is_open() const noexcept { return is_open_; }

  /// As typed so far.
  [[nodiscard]] std::string text() const { return text_.data(); }

  /// While it is open: draws it, and is true in the pass in which Enter took the text.
  bool draw(const Rect& area, const Context& context, const char* name);

 private:
  static constexpr std::size_t kMostBytes = 200;

  bool is_open_ = false;
  bool is_fresh_ = false;
  std::array<char, kMostBytes> text_{};
};

}  // namespace brink::panel
