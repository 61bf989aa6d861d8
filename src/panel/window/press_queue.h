#pragma once

#include <deque>
#include <vector>

#include "panel/window/input.h"

namespace brink::panel {

/// Presses wait here for their pass. A press may open or close a page, and the presses after it are
/// for the page that is then shown. So a pass gets no press after one that may have done so.
class PressQueue {
 public:
  /// Adds the new presses and takes those that one pass may act on: presses of one and the same
  /// key. While text is typed, it takes all up to the first that may end the typing. That one waits
  /// as long as the field of the text is behind: it has not taken all letters before it yet.
  [[nodiscard]] std::vector<Press> take(const std::vector<Press>& fresh,
                                        bool is_typing,
                                        bool is_field_behind = false);

  /// When not empty, the next pass must come without waiting for the user.
  [[nodiscard]] bool is_empty() const noexcept { return waiting_.empty(); }

 private:
  std::deque<Press> waiting_;
};

}  // namespace brink::panel
