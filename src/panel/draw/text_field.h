#pragma once

#include <string>
#include <vector>

#include "panel/draw/text_line.h"
#include "panel/pane.h"

namespace brink::panel {

/// One line of text to type, opened by a key. Enter takes the text, Escape closes the line without
/// it. While it is open, letters and arrows are not actions.
class TextField {
 public:
  /// Opens the line, empty. Presses of this pass after the key `opened_by` are typed already.
  void open(char32_t opened_by, const Context& context);

  [[nodiscard]] bool is_open() const noexcept { return is_open_; }

  /// The text typed so far.
  [[nodiscard]] const std::string& text() const noexcept { return line_.text(); }

  /// Draws the line while it is open. Returns true in the pass in which Enter took the text.
  bool draw(const Rect& area, const Context& context);

 private:
  bool is_open_ = false;
  bool is_fresh_ = false;
  std::vector<Press> first_;  // presses of the pass that opened it
  TextLine line_;
};

}  // namespace brink::panel
