#pragma once

#include <cstdint>
#include <optional>

#include "desk/lit_ring.h"
#include "desk/live_rings.h"
#include "panel/pane.h"

namespace brink::panel {

/// A ring as the Listen pane lists it.
struct ListenRow {
  desk::BoardRow live;
  /// Of the show, where an output is rung out and this ring waits for its cut.
  std::optional<std::uint64_t> offered;
};

/// The simulated stage's fader and equaliser, and the keys that are hands on them: the fader, the
/// cut of the lit ring (nullptr: there is none) and, where no output is rung out, cuts in and out,
/// and flat.
void draw_stage_card(const Rect& area,
                     const ListenRow* lit,
                     desk::LitRing& lit_ring,
                     Context& context);

[[nodiscard]] float stage_card_height(const Theme& theme) noexcept;

}  // namespace brink::panel
