#include "panel/live/listen_pane.h"

#include <algorithm>

#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/live/stage_card.h"
#include "panel/plots/live_plots.h"

namespace brink::panel {
namespace {

constexpr float kRowsWidth = 392.0F;

}  // namespace

void ListenPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  Rect right = rest.take_right(theme.px(kRowsWidth));
  rest.take_right(theme.px(16.0F));
  draw_live_plots(rest, context);

  const auto rows = context.desk.board().rows();
  const int count = static_cast<int>(rows.size());
  int& selected = context.view.selected_row;
  if (count > 1 && context.actions.offer(Key::kTab, "Tab", "next ring")) {
    ++selected;
  }
  selected = count == 0 ? 0 : selected % count;
  if (context.desk.is_stage()) {
    const Rect card = right.take_bottom(stage_card_height(theme));
    right.take_bottom(theme.px(8.0F));
    draw_stage_card(card, context);
  }
  const bool names_taps = context.desk.session().taps().size() > 1;
  const std::string deaf = deaf_words(context.desk.snapshot(), context.view);
  draw_ring_rows(right,
                 rows,
                 context.desk.board().target().kind,
                 selected,
                 deaf,
                 names_taps,
                 context.view.hides_answers,
                 theme);
}

}  // namespace brink::panel
