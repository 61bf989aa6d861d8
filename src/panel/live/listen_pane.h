#pragma once

#include "panel/pane.h"

namespace brink::panel {

/// What sounds now: the live plots, the rings as rows and, on the simulated stage, its fader and
/// its equaliser.
class ListenPane final : public Pane {
 public:
  [[nodiscard]] const char* title() const noexcept override { return "Listen"; }

  void draw(const Rect& area, Context& context) override;
};

}  // namespace brink::panel
