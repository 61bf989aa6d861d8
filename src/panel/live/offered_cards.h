#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "panel/pane.h"
#include "show/ring_out_view.h"

namespace brink::panel {

/// What one of them needs.
[[nodiscard]] float offered_card_height(const Theme& theme) noexcept;

/// The rings to deal with as large cards, the chosen one first in light: what Space cuts.
/// `is_check`: the ring that was cut last still sounds, and is none of them.
/// `dismissed`: what sounds and is said to be no ring.
/// `is_waiting`: Space was pressed, and its cut is still being fitted.
void draw_offered_cards(const Rect& area,
                        const std::vector<show::OfferedRing>& offered,
                        std::size_t selected,
                        bool is_waiting,
                        bool is_check,
                        std::span<const show::DismissedRing> dismissed,
                        const Context& context);

}  // namespace brink::panel
