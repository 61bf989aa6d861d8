#include "panel/draw/choice_rows.h"

#include <algorithm>

#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

constexpr float kNameShare = 0.6F;  // share of a row for the name; the remark gets the rest

}  // namespace

bool steer_choice(Actions& actions, int count, int& row) {
  row += actions.count_presses(Key::kDown) - actions.count_presses(Key::kUp);
  row = std::clamp(row, 0, std::max(count - 1, 0));
  return actions.is_pressed(Key::kEnter);
}

float choice_row_height(const Theme& theme) noexcept {
  return theme.px(30.0F);
}

bool draw_choice(Rect& area,
                 const Theme& theme,
                 bool is_chosen,
                 const std::string& left,
                 const std::string& right) {
  const Rect row = area.take_top(choice_row_height(theme));
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  if (is_chosen) {
    draw_card(row, theme, colour::kGrid);
  }
  const float y = row.middle_y() - 0.5F * theme.body->FontSize;
  ImFont* const font = is_chosen ? theme.strong : theme.body;
  const float room = row.width() - theme.px(20.0F);
  const float name = draw_text(font,
                               row.left + theme.px(10.0F),
                               y,
                               is_chosen ? colour::kYellow : colour::kText,
                               shortened(font, left, kNameShare * room));
  draw_text(theme.body,
            row.right - theme.px(10.0F),
            y,
            colour::kQuiet,
            shortened(theme.body, right, room - name - theme.px(16.0F)),
            Align::kRight);
  return row.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0);
}

}  // namespace brink::panel
