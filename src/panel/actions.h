#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "panel/draw/draw.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/window/input.h"

namespace brink::panel {

/// What the user can do now. A pane offers each action once in every pass, with its key and its
/// word; the bar at the foot shows all that was offered as buttons, so that nothing is hidden.
class Actions {
 public:
  /// A new pass. While text is typed, letters belong to the text, and the bar shows their keys
  /// unlit.
  void begin(const Input& input, bool is_typing);

  /// True when it was asked for since the pass before, by key or on the bar. `key_name` is how the
  /// key is called on the bar: one letter means that letter, in either case.
  bool offer(std::string_view key_name, std::string_view label);
  /// The same with a key that has no letter.
  bool offer(Key key, std::string_view key_name, std::string_view label);
  /// Shows on the bar keys that are counted with count_presses().
  void show(std::string_view key_name, std::string_view label);
  /// A key that the bar does not show, since the thing itself does. As for every action, a key that
  /// is held counts once.
  [[nodiscard]] bool is_pressed(Key key) const noexcept;
  [[nodiscard]] bool is_pressed(char32_t character) const noexcept;

  /// How often, repeats included: for steps.
  [[nodiscard]] int count_presses(Key key) const noexcept;
  /// How often, repeats not included: for what must not run away while a key is held.
  [[nodiscard]] int count_fresh_presses(Key key) const noexcept;
  /// As count_presses(), with Shift held or without it.
  [[nodiscard]] int count_presses(Key key, bool has_shift) const noexcept;

  /// What was pressed in this pass after that character, which opened a field for text: it is text
  /// and no action any more.
  [[nodiscard]] std::vector<Press> take_after(char32_t character);

  /// Whether the mouse went down there, or is held down there; never under an overlay.
  [[nodiscard]] bool is_clicked(const Rect& area) const;
  [[nodiscard]] bool is_mouse_held(const Rect& area) const;
  /// Steps of the wheel there in this pass, up positive; touchpads give parts of a step.
  [[nodiscard]] float wheel_steps(const Rect& area) const;

  /// Draws what was offered since the last call, from the left or up to the right edge.
  void draw_bar(const Rect& area, const Theme& theme, Align align = Align::kLeft);

  /// Letters go into a text.
  [[nodiscard]] bool is_typing() const noexcept { return is_typing_; }

  /// How many were offered so far in this pass.
  [[nodiscard]] std::size_t offered() const noexcept { return offers_.size(); }

  /// Draws what was offered from number `first` on into a place of its own instead of the bar, in
  /// as many lines of `line_height` as it takes; returns their height together.
  float draw_apart(std::size_t first, const Rect& area, float line_height, const Theme& theme);

 private:
  struct Offer {
    std::string key_name;
    std::string label;
    bool is_blocked = false;  // its letter goes into a text; the mouse still asks for it
  };

  void draw_offer(const Offer& offer, float x, const Rect& line, const Theme& theme);

  bool take(Offer offer, bool is_pressed);

  std::vector<Press> presses_;
  std::vector<Offer> offers_;
  std::size_t drawn_ = 0;  // offers that a bar shows already
  std::string clicked_;    // the label of what a bar was asked for in this pass
  std::string asked_;      // and in the pass before
  bool has_mouse_ = false;
  bool is_typing_ = false;
};

}  // namespace brink::panel
