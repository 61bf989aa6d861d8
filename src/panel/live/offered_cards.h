#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "panel/live/ring_card.h"
#include "panel/pane.h"
#include "show/ring_out/ring_out_view.h"

namespace brink::panel {

/// What the key for its cut says.
[[nodiscard]] const char* cut_key_words(const show::OfferedRing& offer);

/// What the lit one has a use for.
[[nodiscard]] float offered_card_height(const std::vector<show::OfferedRing>& offered,
                                        std::size_t lit,
                                        const Context& context);

/// The lit one as a card.
[[nodiscard]] RingCard lit_offer_card(const show::OfferedRing& offer, const Context& context);

/// The rings to deal with as large cards; `lit`: what Space cuts, with every band that it changes.
/// `is_check`: the ring that was cut last still sounds, and is none of them.
/// `dismissed`: what sounds and is said to be no ring.
/// `is_waiting`: Space was pressed, and its cut is still being fitted.
/// Returns the one that was clicked.
std::optional<std::size_t> draw_offered_cards(const Rect& area,
                                              const std::vector<show::OfferedRing>& offered,
                                              std::size_t lit,
                                              bool is_waiting,
                                              bool is_check,
                                              std::span<const show::DismissedRing> dismissed,
                                              Context& context);

}  // namespace brink::panel
