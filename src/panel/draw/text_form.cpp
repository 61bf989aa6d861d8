#include "panel/draw/text_form.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <utility>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/overlays.h"

namespace brink::panel {
namespace {

constexpr float kRowHeight = 44.0F;
constexpr float kLabelWidth = 170.0F;
constexpr float kNumberWidth = 120.0F;
constexpr float kPageWidth = 700.0F;
constexpr float kRestHeight = 172.0F;  // height of the page without its rows and its hint
constexpr float kHintHeight = 30.0F;

/// The next of a field's choices. If the text is none of them, the first choice.
std::string next_choice(const FormField& field, int by) {
  const auto count = static_cast<int>(field.choices.size());
  const auto found = std::find(field.choices.begin(), field.choices.end(), field.text);
  const int at = found == field.choices.end()
                     ? 0
                     : (static_cast<int>(found - field.choices.begin()) + by + count) % count;
  return field.choices[static_cast<std::size_t>(at)];
}

bool is_of_number(char32_t character) noexcept {
  return (character >= U'0' && character <= U'9') || character == U'.' || character == U'-';
}

}  // namespace

void TextForm::open(std::string heading, std::vector<FormField> fields, Taker taker, Hint hint) {
  heading_ = std::move(heading);
  fields_ = std::move(fields);
  taker_ = std::move(taker);
  hint_ = std::move(hint);
  fault_.clear();
  at_ = 0;
  go(0);
  is_fresh_ = true;
}

void TextForm::go(int by) {
  const auto count = static_cast<int>(fields_.size());
  at_ = static_cast<std::size_t>((static_cast<int>(at_) + by + count) % count);
  line_ = TextLine(fields_[at_].text);
  is_typed_ = false;
}

std::vector<std::string> TextForm::texts() const {
  std::vector<std::string> texts;
  for (const FormField& field : fields_) {
    texts.push_back(field.text);
  }
  return texts;
}

std::string TextForm::hint() const {
  return hint_ && is_open() ? hint_(texts()) : std::string();
}

void TextForm::take() {
  const auto fault = taker_(texts());
  if (fault) {
    fault_ = *fault;
  } else {
    fields_.clear();
  }
}

/// The first digit replaces the number that was there.
void TextForm::press_number(const Press& press) {
  FormField& field = fields_[at_];
  const int up = press.key == Key::kUp ? 1 : press.key == Key::kDown ? -1 : 0;
  if (up != 0) {
    const double now = std::strtod(field.text.c_str(), nullptr);
    field.text = fmt::format("{:.6g}", now + up * field.step);
    go(0);
    return;
  }
  if (press.key == Key::kCharacter && !is_of_number(press.character)) {
    return;
  }
  if (press.key == Key::kCharacter && !is_typed_) {
    line_ = TextLine();
    is_typed_ = true;
  }
  line_.press(press);
  field.text = line_.text();
}

void TextForm::press(const Press& press) {
  FormField& field = fields_[at_];
  const bool is_number = field.step != 0.0;
  if (press.key == Key::kTab) {
    go(press.has_shift ? -1 : 1);
  } else if (press.key == Key::kEnter) {
    take();
  } else if (press.key == Key::kEscape) {
    fields_.clear();
  } else if (is_number) {
    press_number(press);
  } else if (press.key == Key::kUp || press.key == Key::kDown) {
    go(press.key == Key::kDown ? 1 : -1);
  } else if (!field.choices.empty()) {
    if (press.key == Key::kLeft || press.key == Key::kRight) {
      field.text = next_choice(field, press.key == Key::kRight ? 1 : -1);
    }
  } else if (press.key != Key::kF11 && press.key != Key::kF12) {
    if (std::exchange(field.is_put_forward, false) && press.key == Key::kCharacter) {
      line_ = TextLine();
    }
    line_.press(press);
    field.text = line_.text();
  }
}

void TextForm::act(const Input& input) {
  for (const Press& one : input.presses) {
    if (!fields_.empty()) {
      press(one);
    }
  }
}

void TextForm::draw_line(const Rect& box,
                         const FormField& field,
                         bool is_here,
                         const Theme& theme) const {
  draw_card(box, theme, is_here ? colour::kGrid : colour::kCard);
  const Clip clip(box);
  const float y = box.middle_y() - 0.5F * theme.body->FontSize;
  const float room = box.width() - theme.px(20.0F);
  float x = box.left + theme.px(8.0F);
  const float cursor =
      is_here ? text_width(theme.body, base::printable(line_.before_cursor())) : 0.0F;
  x -= std::max(0.0F, cursor - room);  // a long text moves with its cursor
  if (is_here && field.is_put_forward) {
    canvas().AddRectFilled(ImVec2(x, y - theme.px(2.0F)),
                           ImVec2(x + cursor, y + theme.body->FontSize + theme.px(2.0F)),
                           colour::kPlot);
  }
  draw_text(theme.body, x, y, colour::kText, base::printable(field.text));
  if (is_here) {
    canvas().AddLine(ImVec2(x + cursor, y - theme.px(2.0F)),
                     ImVec2(x + cursor, y + theme.body->FontSize + theme.px(2.0F)),
                     colour::kYellow,
                     theme.px(1.5F));
  }
}

void TextForm::draw_field(const Rect& row, std::size_t index, const Theme& theme) {
  const FormField& field = fields_[index];
  const bool is_here = index == at_;
  const float y = row.middle_y() - 0.5F * theme.body->FontSize;
  ImFont* const font = is_here ? theme.strong : theme.body;
  draw_text(font,
            row.left,
            y,
            is_here ? colour::kText : colour::kQuiet,
            shortened(font, base::printable(field.label), theme.px(kLabelWidth - 12.0F)));
  const float left = row.left + theme.px(kLabelWidth);
  const float half = 0.5F * theme.body->FontSize + theme.px(6.0F);
  const Rect box{left,
                 row.middle_y() - half,
                 field.step != 0.0 ? left + theme.px(kNumberWidth) : row.right,
                 row.middle_y() + half};
  if (field.choices.empty()) {
    draw_line(box, field, is_here, theme);
  } else {
    draw_text(theme.strong,
              left,
              y,
              is_here ? colour::kYellow : colour::kText,
              shortened(theme.strong,
                        is_here ? fmt::format("\u2190 {} \u2192", field.text) : field.text,
                        box.width()));
  }
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  if (!is_here && box.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0)) {
    go(static_cast<int>(index) - static_cast<int>(at_));
  }
}

void TextForm::draw(const Rect& area, Context& context) {
  // The press that opened the form is not typed into it.
  if (context.view.overlay == Overlay::kNone && !is_fresh_) {
    act(context.input);
  }
  is_fresh_ = false;
  if (fields_.empty()) {
    return;
  }
  context.view.is_typing = true;
  context.actions.show("Tab", "next line");
  context.actions.show("Enter", "take");
  context.actions.show("Esc", "give up");
  const Theme& theme = context.theme;
  const float height =
      kRestHeight + kRowHeight * static_cast<float>(fields_.size()) + (hint_ ? kHintHeight : 0.0F);
  Rect inner = draw_overlay_page(area, theme, kPageWidth, height, heading_.c_str());
  for (std::size_t index = 0; index < fields_.size(); ++index) {
    draw_field(inner.take_top(theme.px(kRowHeight)), index, theme);
  }
  inner.take_top(theme.px(12.0F));
  if (hint_) {
    const Rect line = inner.take_top(theme.px(kHintHeight));
    draw_text(theme.strong,
              line.left,
              line.top,
              colour::kText,
              shortened(theme.strong, hint(), line.width()));
  }
  const char* const how =
      fields_[at_].step != 0.0 ? "Type it, or step it with the arrows up and down. Enter takes."
      : !fields_[at_].choices.empty() ? "The arrows left and right choose. Enter takes all."
      : fields_[at_].is_put_forward && !fields_[at_].text.empty()
          ? "Type over what is put forward, or Tab leaves it. Enter takes all."
          : "Tab goes to the next line. Enter takes all.";
  draw_wrapped(theme.body,
               inner.left,
               inner.top,
               inner.width(),
               fault_.empty() ? colour::kQuiet : colour::kOrange,
               fault_.empty() ? how : fault_.c_str());
}

}  // namespace brink::panel
