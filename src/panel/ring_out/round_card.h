#pragma once

#include <optional>
#include <string>

#include "desk/show_keeper.h"
#include "panel/pane.h"

namespace brink::panel {

/// Where ringing out the chosen output stands: what to do now, the fader, each round with what it
/// won, the advice with its reason, what the last key did (`answer`), and whether all of it is
/// logged. Returns the key that was clicked of those that it shows: next output, outputs, venue,
/// note; none while they are blocked.
std::optional<char> draw_round_card(const Rect& area,
                                    const desk::ShowKeeper& keeper,
                                    const std::string& instruction,
                                    const std::string& answer,
                                    bool are_keys_blocked,
                                    const Context& context);

/// Height of the card: its full height, or less when what stands above it needs `above` pixels.
[[nodiscard]] float round_card_height(float available, float above, const Theme& theme) noexcept;

/// What to do now. While no sound comes it is always to pull the fader down. `deaf`: what
/// deaf_words() gives. `lit`: the ring that the keys mean, as it is now.
[[nodiscard]] std::string instruction_words(const show::RingOut& flow,
                                            const std::string& deaf,
                                            const std::optional<detector::Ring>& lit);
/// What to do about a ring that is caught: down now, down, or a little down for a slow one.
[[nodiscard]] std::string catch_words(const detector::Ring& ring);

/// "faded", "won 2.5 dB", ...
[[nodiscard]] std::string check_words(const show::RoundView& round);

}  // namespace brink::panel
