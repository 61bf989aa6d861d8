#pragma once

#include <string>

#include "ear/ruler.h"
#include "panel/draw/text_field.h"
#include "panel/ear/ear_ruler.h"

namespace brink::panel {

/// The places of state, ruler, keys and result, one below the other from the top.
struct GuessPlaces {
  Rect head;
  Rect ruler;
  Rect keys;
  Rect result;
};

[[nodiscard]] GuessPlaces guess_places(const Rect& area, const Theme& theme) noexcept;

/// A hand on the ruler of guesses: arrows, mouse and typing, the same wherever there is guessing.
class RulerHand {
 public:
  /// Draws the ruler and obeys.
  void draw(const Rect& area,
            const FrequencyAxis& axis,
            ear::Ruler& ruler,
            RulerView view,
            const Context& context);

  /// The keys of it and of what was offered since number `first` on, or the open text field.
  void draw_keys(std::size_t first, const Rect& area, ear::Ruler& ruler, const Context& context);

  [[nodiscard]] bool is_typing() const noexcept { return field_.is_open(); }

 private:
  TextField field_;
  std::string fault_;  // of what was typed
};

}  // namespace brink::panel
