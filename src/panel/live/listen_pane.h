#pragma once

#include "desk/lit_ring.h"
#include "panel/live/names_form.h"
#include "panel/live/stage_card.h"
#include "panel/pane.h"

namespace brink::panel {

/// What sounds now: the live plots, the rings as cards and, on the simulated stage, its fader and
/// its equaliser. Where an output is rung out a cut made here is logged there.
class ListenPane final : public Pane {
 public:
  [[nodiscard]] const char* title() const noexcept override { return "Listen"; }

  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  desk::LitRing lit_;
  FaderHand hand_;
  NamesForm names_form_;
  std::string cut_;    // of the lit ring, as shown
  std::string where_;  // its channel
};

}  // namespace brink::panel
