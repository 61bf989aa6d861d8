#include "panel/book/book_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "base/printable.h"
#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

constexpr float kRowHeight = 54.0F;
constexpr std::size_t kDayLength = 10;  // length of the date in an ISO 8601 time

std::string sum_words(const io::ShowSummary& show) {
  std::string words = fmt::format("{} output{}, {} round{}",
                                  show.output_count,
                                  show.output_count == 1 ? "" : "s",
                                  show.round_count,
                                  show.round_count == 1 ? "" : "s");
  return show.won_db ? words + fmt::format(", {:+.1f} dB", *show.won_db) : words;
}

void draw_row(const Rect& row, const io::ShowSummary& show, bool is_selected, const Theme& theme) {
  if (is_selected) {
    draw_card(row, theme, colour::kCardLit);
    canvas().AddRectFilled(ImVec2(row.left, row.top),
                           ImVec2(row.left + theme.px(5.0F), row.bottom),
                           colour::kYellow,
                           theme.px(2.0F));
  }
  const float left = row.left + theme.px(14.0F);
  const float right = row.right - theme.px(12.0F);
  const float top = row.top + theme.px(6.0F);
  const float below = top + theme.px(23.0F);
  // The names stand on the left, as far as there is room beside the figures on the right.
  const auto draw_line =
      [&](ImFont* font, ImU32 paint, float y, const std::string& name, const std::string& figures) {
        ImFont* const of_figures = font == theme.small ? theme.small : theme.body;
        const float width = draw_text(of_figures, right, y, colour::kQuiet, figures, Align::kRight);
        const float room = right - left - width - theme.px(12.0F);
        draw_text(font, left, y, paint, shortened(font, base::printable(name), room));
      };
  draw_line(is_selected ? theme.strong : theme.body,
            colour::kText,
            top,
            show.venue,
            base::printable(show.started_at.substr(0, kDayLength)));
  draw_line(theme.small, colour::kQuiet, below, show.name, sum_words(show));
}

}  // namespace

int book_rows_in(const Rect& area, const Theme& theme) noexcept {
  return std::max(1, static_cast<int>(area.height() / theme.px(kRowHeight)));
}

int first_row_for(int first, int selected, int fitting, int count) noexcept {
  first = std::clamp(first, selected - fitting + 1, selected);
  return std::clamp(first, 0, std::max(0, count - fitting));
}

std::optional<int> draw_book_list(const Rect& area,
                                  std::span<const io::ShowSummary> shows,
                                  int first,
                                  int selected,
                                  const Actions& actions,
                                  const Theme& theme) {
  std::optional<int> clicked;
  Rect rest = area;
  const int count = static_cast<int>(shows.size());
  const int end = std::min(count, first + book_rows_in(area, theme));
  for (int row = first; row < end; ++row) {
    const Rect place = rest.take_top(theme.px(kRowHeight));
    draw_row(place, shows[static_cast<std::size_t>(row)], row == selected, theme);
    if (actions.is_clicked(place)) {
      clicked = row;
    }
  }
  return clicked;
}

}  // namespace brink::panel
