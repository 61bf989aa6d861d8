#pragma once

#include <string>
#include <vector>

#include "panel/draw/text_line.h"
#include "panel/pane.h"

namespace brink::panel {

/// One line of text that is typed after a key opened it: Enter takes it, Escape leaves it. While it
/// is open, letters and arrows are no actions.
class TextField {
 public:
  /// Opens it, empty. What was pressed in this pass after the key `opened_by` is typed already.
  void open(char32_t opened_by, const Context& context);

  [[nodiscard]] bool is_open() const noexcept { return is_open_; }

  /// As typed so far.
  [[nodiscard]] const std::string& text() const noexcept { return line_.text(); }

  /// While it is open: draws it, and is true in the pass in which Enter took the text.
  bool draw(const Rect& area, const Context& context);

 private:
  bool is_open_ = false;
  bool is_fresh_ = false;
  std::vector<Press> first_;  // of the pass that opened it
  TextLine line_;
};

}  // namespace brink::panel
