#pragma once

#include <optional>
#include <span>
#include <string>

#include "detector/ring.h"
#include "panel/pane.h"
#include "show/ring_out/ring_out.h"

namespace brink::panel {

/// The one thing to do now.
struct Instruction {
  std::string words;
  bool is_urgent = false;   ///< the fader goes down before anything else (ring_words())
  bool is_warning = false;  ///< no sound comes
};

/// What to do about a ring that is caught: down now, down, or a little down for a slow one.
[[nodiscard]] std::string catch_words(const detector::Ring& ring);

/// While an output is rung out. While no sound comes it is always to pull the fader down.
/// `deaf`: what deaf_words() gives. `lit`: the ring that the keys mean, as it is now.
[[nodiscard]] std::string instruction_words(const show::RingOut& flow,
                                            const std::string& deaf,
                                            const std::optional<detector::Ring>& lit);

/// While one only listens. `can_cut`: there is a cut to make for it. `has_fader`: the fader is
/// brink's own, on the simulated stage.
[[nodiscard]] std::string listen_words(const std::string& deaf,
                                       const std::optional<detector::Ring>& lit,
                                       bool can_cut,
                                       bool has_fader);

/// With a ring of these that is urgent first, whichever is lit. `words`: what there is to do
/// otherwise.
[[nodiscard]] Instruction with_urgent(std::string words,
                                      const std::string& deaf,
                                      std::span<const detector::Ring> rings,
                                      bool hides_answers);

/// Over the whole width of the upper edge, which it takes off the area: at most this share of its
/// height.
inline constexpr float kInstructionShare = 0.17F;
void draw_instruction(Rect& area,
                      const Instruction& instruction,
                      Context& context,
                      float most_share = kInstructionShare,
                      double most_arc_min = kPreferredArcMin);

}  // namespace brink::panel
