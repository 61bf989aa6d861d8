#pragma once

#include <optional>
#include <string>

#include "desk/show_keeper.h"
#include "panel/pane.h"

namespace brink::panel {

/// Where ringing out the chosen output stands: the fader, each round with what it won, the advice
/// with its reason, what the last key did (`answer`), and whether all of it is
/// logged. Returns the key that was clicked of those that it shows: next output, outputs, venue,
/// note; none while they are blocked.
std::optional<char> draw_round_card(const Rect& area,
                                    const desk::ShowKeeper& keeper,
                                    const std::string& answer,
                                    bool are_keys_blocked,
                                    Context& context);

/// Height of the card: its full height, or less when what stands above it needs `above` pixels.
[[nodiscard]] float round_card_height(float available, float above, const Theme& theme) noexcept;

/// "faded", "won 2.5 dB", ...
[[nodiscard]] std::string check_words(const show::RoundView& round);

}  // namespace brink::panel
