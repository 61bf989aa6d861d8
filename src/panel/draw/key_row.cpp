#include "panel/draw/key_row.h"

#include "panel/draw/draw.h"

namespace brink::panel {

bool draw_key_row(Rect& area,
                  const Actions& actions,
                  char key,
                  std::string_view label,
                  std::string_view value,
                  const Theme& theme) {
  const Rect row = area.take_top(theme.px(27.0F));
  const Clip clip({row.left, row.top, row.right + theme.px(2.0F), row.bottom});
  const float y = row.middle_y() - 0.5F * theme.body->FontSize;
  const float indent = theme.px(24.0F);
  if (key != 0) {
    draw_text(theme.strong, row.left, y, colour::kYellow, std::string_view(&key, 1));
  }
  const float label_width =
      draw_text(theme.body, row.left + indent, y, colour::kQuiet, label) + theme.px(14.0F);
  const float room = row.width() - indent - label_width;
  draw_text(
      theme.body, row.right, y, colour::kText, shortened(theme.body, value, room), Align::kRight);
  return key != 0 && (actions.is_clicked(row) || actions.is_pressed(static_cast<char32_t>(key)));
}

}  // namespace brink::panel
