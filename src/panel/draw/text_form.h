#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "panel/draw/text_line.h"
#include "panel/pane.h"

namespace brink::panel {

/// One line of a form.
struct FormField {
  std::string label;
  std::string text;
  std::vector<std::string> choices = {};  ///< the left and right arrow keys go through these
  double step = 0.0;  ///< step of a number for the up and down arrow keys; 0: the field is a text
  /// a text that the first letter replaces, unless the cursor is moved first.
  bool is_put_forward = false;
};

/// A page with some lines of text to type. Tab or the arrow keys go from line to line, Enter takes
/// all, Escape gives up. While it is open, letters are text.
class TextForm {
 public:
  /// Called with the texts in order. If they cannot be taken, it returns a sentence that says why,
  /// and the form stays open.
  using Taker = std::function<std::optional<std::string>(const std::vector<std::string>& texts)>;

  /// What the texts as they stand would do, one sentence under them.
  using Hint = std::function<std::string(const std::vector<std::string>& texts)>;

  /// Opens the form at its first field.
  void open(std::string heading, std::vector<FormField> fields, Taker taker, Hint hint = {});

  [[nodiscard]] bool is_open() const noexcept { return !fields_.empty(); }

  [[nodiscard]] const std::string& heading() const noexcept { return heading_; }

  /// What was wrong with the last texts; empty: nothing.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

  /// The sentence under the fields; empty: none.
  [[nodiscard]] std::string hint() const;

  /// Takes the presses of this pass and draws the form.
  void draw(const Rect& area, Context& context);

 private:
  [[nodiscard]] std::vector<std::string> texts() const;
  void act(const Input& input);
  void press(const Press& press);
  void press_number(const Press& press);
  void go(int by);
  void take();
  void draw_field(const Rect& row, std::size_t index, const Theme& theme);
  void draw_line(const Rect& box, const FormField& field, bool is_here, const Theme& theme) const;

  std::string heading_;
  std::vector<FormField> fields_;
  Taker taker_;
  Hint hint_;
  std::string fault_;
  std::size_t at_ = 0;
  TextLine line_;          // text of the field at_
  bool is_fresh_ = false;  // it was opened in this pass
  bool is_typed_ = false;  // the present number was typed, not changed by steps
};

}  // namespace brink::panel
