#include "panel/draw/text_field.h"

#include <algorithm>

#include "base/printable.h"
#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

void draw_line(const Rect& area, const TextLine& line, const Theme& theme) {
  draw_card(area, theme, colour::kCardLit);
  const Rect inner = area.inset(theme.px(3.0F));
  const Clip clip(inner);
  const float caret = text_width(theme.body, base::printable(line.before_cursor()));
  // A long text moves out at the left, so that the caret can always be seen.
  const float x =
      inner.left + theme.px(4.0F) - std::max(0.0F, caret - inner.width() + theme.px(10.0F));
  const float y = inner.middle_y() - 0.5F * theme.body->FontSize;
  draw_text(theme.body, x, y, colour::kText, base::printable(line.text()));
  canvas().AddLine(ImVec2(x + caret + 1.0F, inner.top),
                   ImVec2(x + caret + 1.0F, inner.bottom),
                   colour::kYellow,
                   theme.px(1.5F));
}

}  // namespace

void TextField::open(char32_t opened_by, const Context& context) {
  line_ = TextLine();
  first_ = context.actions.take_after(opened_by);
  is_open_ = true;
  is_fresh_ = true;
  context.view.is_typing = true;
}

bool TextField::draw(const Rect& area, const Context& context) {
  if (!is_open_) {
    return false;
  }
  context.view.is_typing = true;
  bool is_taken = false;
  if (context.view.overlay == Overlay::kNone) {
    for (const Press& press : is_fresh_ ? first_ : context.input.presses) {
      is_taken = press.key == Key::kEnter;
      if (is_taken || press.key == Key::kEscape) {
        is_open_ = false;
        context.view.is_typing = false;
        break;
      }
      line_.press(press);
    }
  }
  is_fresh_ = false;
  draw_line(area, line_, context.theme);
  return is_taken;
}

}  // namespace brink::panel
