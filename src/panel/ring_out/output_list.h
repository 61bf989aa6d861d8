#pragma once

#include <cstddef>
#include <optional>

#include "panel/pane.h"
#include "show/ring_out/ring_out.h"

namespace brink::panel {

/// A page with the show's outputs, what became of each, and what else can be done with them.
class OutputList {
 public:
  enum class Wish { kChoose, kAdd, kChange, kBeginShow };

  struct Choice {
    Wish wish = Wish::kChoose;
    std::size_t output = 0;  ///< of kChoose
  };

  void open(const show::RingOut& flow);

  [[nodiscard]] bool is_open() const noexcept { return is_open_; }

  /// What was chosen in this pass; the page is closed then.
  std::optional<Choice> draw(const Rect& area, Context& context, const show::RingOut& flow);

 private:
  bool is_open_ = false;
  bool is_fresh_ = false;
  int row_ = 0;
};

}  // namespace brink::panel
