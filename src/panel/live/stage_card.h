#pragma once

#include "desk/lit_ring.h"
#include "panel/live/listen_rows.h"
#include "panel/pane.h"

namespace brink::panel {

/// The mouse at the stage's fader, from one pass to the next.
struct FaderHand {
  bool is_held = false;
  float held_x = 0.0F;   // where the mouse took it,
  double held_db = 0.0;  // and where it stood then
  float wheel = 0.0F;    // part of a step that the wheel went since the last whole one
};

/// What is over is not cut by a key that says "make this cut", and what fades gets no deeper one.
[[nodiscard]] bool can_cut(const ListenRow& row);

/// The keys that are hands on the simulated stage: the fader, the cut of the lit ring (nullptr:
/// there is none) and, where no output is rung out, cuts in and out, and flat.
void steer_stage(const ListenRow* lit, desk::LitRing& lit_ring, Context& context);

/// The stage's fader and equaliser. The mouse drags the fader by its handle; a click elsewhere
/// moves nothing.
void draw_stage_card(const Rect& area, FaderHand& hand, Context& context);

[[nodiscard]] float stage_card_height(const Theme& theme) noexcept;

}  // namespace brink::panel
