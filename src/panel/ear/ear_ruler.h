#pragma once

#include <optional>
#include <span>

#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"

namespace brink::panel {

/// A locked guess beside what it was scored against.
struct RulerAnswer {
  double guessed_hz = 0.0;
  double true_hz = 0.0;
};

struct RulerView {
  double guess_hz = 1000.0;
  std::span<const RulerAnswer> answers;  ///< what is known by now
  bool by_note = false;                  ///< named by piano notes
  bool is_open = true;                   ///< there is something to guess
};

/// The part of the frequency axis that the close-up shows: an octave about the guess's
/// third-octave, so that it stands still under finer steps.
struct CloseUp {
  double lowest_hz = 0.0;
  double highest_hz = 0.0;
};

[[nodiscard]] CloseUp close_up_of(double guess_hz) noexcept;

/// The ruler of guesses: the whole axis above, third-octaves ticked, and below it a close-up whose
/// small ticks lie one step of hearing apart (ear/ruler.h). Returns the frequency that the
/// mouse points at while it is held down on the ruler or clicked in the close-up.
[[nodiscard]] std::optional<double> draw_ear_ruler(const Rect& area,
                                                   const FrequencyAxis& axis,
                                                   const RulerView& view,
                                                   const Actions& actions,
                                                   const Theme& theme);

}  // namespace brink::panel
