#include "panel/reach/reach_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "base/error.h"
#include "panel/draw/draw.h"
#include "panel/reach/reach_drawing.h"

namespace brink::panel {
namespace {

constexpr float kFormWidth = 420.0F;
constexpr float kTallestRow = 30.0F;
constexpr float kLowestRow = 20.0F;
constexpr float kBarsHeight = 80.0F;
constexpr float kVerdictHeight = 40.0F;
constexpr float kMoveHeight = 42.0F;
constexpr float kMovesHeight = 26.0F + 4.0F * kMoveHeight;

std::string capitalised(std::string words) {
  words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
  return words;
}

}  // namespace

desk::ReachField ReachPane::selected() const {
  return form_.fields()[static_cast<std::size_t>(row_)];
}

void ReachPane::edit(Context& context) {
  if (context.actions.is_pressed(Key::kEscape)) {
    is_editing_ = false;
    refusal_.clear();
  } else if (context.actions.is_pressed(Key::kEnter)) {
    try {
      form_.set(selected(), typed_.data());
      is_editing_ = false;
      refusal_.clear();
    } catch (const base::Error& error) {
      refusal_ = capitalised(error.what());
      wants_focus_ = true;  // so that the user can correct it
    }
  }
}

void ReachPane::steer(Context& context) {
  Actions& actions = context.actions;
  if (is_editing_) {
    actions.show("Enter", "take the number");
    actions.show("Esc", "leave it");
    edit(context);
    return;
  }
  actions.show("\u2191\u2193", "choose");
  actions.show("\u2190\u2192", "change");
  const int count = static_cast<int>(form_.fields().size());
  const int rows = actions.count_presses(Key::kDown) - actions.count_presses(Key::kUp);
  row_ = std::clamp(row_ + rows, 0, count - 1);
  const int steps = actions.count_presses(Key::kRight) - actions.count_presses(Key::kLeft);
  if (rows != 0 || steps != 0) {
    refusal_.clear();
  }
  if (steps != 0) {
    form_.step(selected(), steps);
    row_ = std::min(row_, static_cast<int>(form_.fields().size()) - 1);
  }
  if (!desk::ReachForm::is_choice(selected()) &&
      actions.offer(Key::kEnter, "Enter", "type a number")) {
    is_editing_ = true;
    wants_focus_ = true;
    typed_.fill('\0');
    form_.number_text(selected()).copy(typed_.data(), typed_.size() - 1);
  }
}

void ReachPane::draw_edit_field(const Rect& area) {
  ImGui::SetCursorScreenPos(ImVec2(area.left, area.middle_y() - 0.5F * ImGui::GetFrameHeight()));
  ImGui::SetNextItemWidth(area.width());
  if (wants_focus_) {
    ImGui::SetKeyboardFocusHere();
    wants_focus_ = false;
  }
  ImGui::InputText(
      "##reach-value", typed_.data(), typed_.size(), ImGuiInputTextFlags_AutoSelectAll);
}

void ReachPane::draw_row(const Rect& row,
                         desk::ReachField field,
                         bool is_here,
                         const Theme& theme) {
  if (is_here) {
    draw_card(row, theme, colour::kGrid);
  }
  ImFont* const font = is_here ? theme.strong : theme.body;
  const float y = row.middle_y() - 0.5F * font->FontSize;
  draw_text(font,
            row.left + theme.px(10.0F),
            y,
            is_here ? colour::kYellow : colour::kText,
            capitalised(desk::ReachForm::name(field)));
  if (is_here && is_editing_) {
    draw_edit_field(
        {row.right - theme.px(140.0F), row.top, row.right - theme.px(6.0F), row.bottom});
    return;
  }
  const std::string value = form_.value_text(field);
  draw_text(font,
            row.right - theme.px(10.0F),
            y,
            colour::kText,
            is_here ? "\u2190  " + value + "  \u2192" : value,
            Align::kRight);
}

void ReachPane::draw_form(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  draw_card(area, theme);
  Rect rest = area.inset(theme.px(8.0F));
  const auto fields = form_.fields();
  const float row_height = rest.height() / static_cast<float>(fields.size());
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  for (int i = 0; i < static_cast<int>(fields.size()); ++i) {
    const Rect row = rest.take_top(row_height);
    if (!is_editing_ && row.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0)) {
      row_ = i;
    }
    draw_row(row, fields[static_cast<std::size_t>(i)], i == row_, theme);
  }
}

void ReachPane::draw_verdict(const Rect& area, const Theme& theme) const {
  if (form_.answer()) {
    draw_text(theme.title,
              area.left,
              area.middle_y() - 0.5F * theme.title->FontSize,
              form_.answer()->works ? colour::kSky : colour::kVermilion,
              report::reach_sentence(*form_.answer()));
  }
}

void ReachPane::draw_moves(const Rect& area, const Theme& theme) const {
  if (!form_.answer()) {
    return;
  }
  Rect rest = area;
  const Clip clip(area);
  const Rect head = rest.take_top(theme.px(26.0F));
  draw_text(theme.strong, head.left, head.top, colour::kText, "One move by itself, the best first");
  for (const loop::MoveGain& move : form_.answer()->moves) {
    Rect row = rest.take_top(theme.px(kMoveHeight));
    const Rect figure = row.take_left(theme.px(86.0F));
    draw_text(theme.strong,
              figure.right - theme.px(14.0F),
              figure.top + theme.px(3.0F),
              colour::kText,
              fmt::format("{:+.1f} dB", move.gain_db),
              Align::kRight);
    // The value that is enough by itself has its own line.
    const std::string words = report::move_sentence(move, form_.question().unit);
    const auto split = words.find("; ");
    draw_text(theme.body,
              row.left,
              row.top + theme.px(3.0F),
              colour::kText,
              capitalised(words.substr(0, split)));
    if (split != std::string::npos) {
      draw_text(
          theme.small, row.left, row.top + theme.px(24.0F), colour::kSky, words.substr(split + 2));
    }
  }
}

void ReachPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  steer(context);
  Rect left = area;
  Rect right = left.take_right(theme.px(kFormWidth));
  left.take_right(theme.px(16.0F));
  const auto rows = static_cast<float>(form_.fields().size());
  const float edge = theme.px(16.0F);
  const float row_height =
      std::clamp((right.height() - theme.px(kMovesHeight + 8.0F) - edge) / rows,
                 theme.px(kLowestRow),
                 theme.px(kTallestRow));
  draw_form(right.take_top(rows * row_height + edge), context);
  right.take_top(theme.px(6.0F));
  if (!refusal_.empty()) {
    const float height =
        draw_wrapped(theme.body, right.left, right.top, right.width(), colour::kOrange, refusal_);
    right.take_top(height + theme.px(6.0F));
  }
  draw_moves(right, theme);
  if (form_.answer()) {
    draw_reach_bars(left.take_bottom(theme.px(kBarsHeight)), *form_.answer(), theme);
    draw_verdict(left.take_bottom(theme.px(kVerdictHeight)), theme);
    left.take_bottom(theme.px(6.0F));
  }
  draw_reach_plan(left, form_, selected(), theme);
}

void ReachPane::describe(Facts& facts) const {
  facts.add("field", std::string(desk::ReachForm::name(selected())));
  facts.add("value", form_.value_text(selected()));
  facts.add("is_editing", is_editing_);
  facts.add("refusal", refusal_);
  facts.add("fault", form_.fault());
  facts.add("has_answer", form_.answer().has_value());
  if (form_.answer()) {
    const loop::Reach& reach = *form_.answer();
    facts.add("potential_db", reach.potential_db);
    facts.add("needed_db", reach.needed_db);
    facts.add("spare_db", reach.spare_db);
    facts.add("works", reach.works);
    facts.add("sentence", report::reach_sentence(reach));
    facts.add("best_move", report::move_sentence(reach.moves.front(), form_.question().unit));
  }
}

}  // namespace brink::panel
