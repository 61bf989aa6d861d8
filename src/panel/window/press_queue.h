#pragma once

#include <deque>
#include <vector>

#include "panel/window/input.h"

namespace brink::panel {

/// Presses wait here until it is their pass. A press may open or close a page, and what comes after
/// it is for what is then shown; so a pass gets no press beyond one that could have done so.
class PressQueue {
 public:
  /// Adds what is new and takes out what a pass may act on: presses of one and the same key. While
  /// text is typed, all up to the first that may end it.
  [[nodiscard]] std::vector<Press> take(const std::vector<Press>& fresh, bool is_typing);

  /// Whether another pass is due without waiting for the user.
  [[nodiscard]] bool is_empty() const noexcept { return waiting_.empty(); }

 private:
  std::deque<Press> waiting_;
};

}  // namespace brink::panel
