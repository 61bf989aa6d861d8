#pragma once

#include <string>

#include "app/ear/ruler.h"
#include "panel/ear_ruler.h"
#include "panel/text_field.h"

namespace brink::panel {

/// Where guessing has what: below one another, closed up to the top.
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
            app::Ruler& ruler,
            RulerView view,
            const Context& context);

  /// The keys of it and of what was offered since number `first` on, or the open text field.
  void draw_keys(std::size_t first, const Rect& area, app::Ruler& ruler, const Context& context);

  [[nodiscard]] bool is_typing() const noexcept { return field_.is_open(); }

 private:
  TextField field_;
  std::string fault_;  // of what was typed
};

}  // namespace brink::panel
