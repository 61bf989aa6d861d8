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
  std::vector<std::string> choices = {};  ///< the left and right arrows go through them
  double step = 0.0;            ///< of a number, which the up and down arrows step; 0: text
  bool is_put_forward = false;  ///< a text that is typed over, unless the cursor is moved first
};

/// A page with a few lines of text to type: Tab or the arrows go from line to line, Enter takes
/// all, Escape gives up. While it is open, letters are text.
class TextForm {
 public:
  /// Given the texts in order; a sentence when they cannot be, which keeps the form open.
  using Taker = std::function<std::optional<std::string>(const std::vector<std::string>& texts)>;

  void open(std::string heading, std::vector<FormField> fields, Taker taker);

  [[nodiscard]] bool is_open() const noexcept { return !fields_.empty(); }

  [[nodiscard]] const std::string& heading() const noexcept { return heading_; }

  /// What was wrong with what was taken last; empty: nothing.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

  void draw(const Rect& area, Context& context);

 private:
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
  std::string fault_;
  std::size_t at_ = 0;
  TextLine line_;          // of the field at_
  bool is_fresh_ = false;  // opened in this pass
  bool is_typed_ = false;  // the number at hand was typed, not stepped
};

}  // namespace brink::panel
