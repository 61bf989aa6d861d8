#include "panel/ring_out/prepare_card.h"

#include <algorithm>

#include "panel/draw/draw.h"
#include "panel/draw/first_step.h"

namespace brink::panel {
namespace {

constexpr float kRowHeight = 32.0F;

std::size_t next_open(const show::OutputRecord& output) {
  std::size_t point = 0;
  while (point < show::prepare_points().size() && show::is_prepared(output, point)) {
    ++point;
  }
  return point;
}

void draw_box(float x, float y, float size, bool is_done, const Theme& theme) {
  ImDrawList& list = canvas();
  list.AddRect(ImVec2(x, y),
               ImVec2(x + size, y + size),
               is_done ? colour::kGreen : colour::kQuiet,
               theme.px(3.0F),
               0,
               theme.px(1.5F));
  if (is_done) {
    const ImVec2 knee(x + 0.42F * size, y + 0.75F * size);
    list.AddLine(ImVec2(x + 0.2F * size, y + 0.5F * size), knee, colour::kGreen, theme.px(2.5F));
    list.AddLine(knee, ImVec2(x + 0.82F * size, y + 0.25F * size), colour::kGreen, theme.px(2.5F));
  }
}

}  // namespace

void offer_ticks(show::RingOut& flow, Actions& actions) {
  if (flow.output() == nullptr) {
    return;
  }
  const std::size_t next = next_open(*flow.output());
  if (next < show::prepare_points().size() && actions.offer("P", "tick")) {
    flow.tick(next, true);
  }
}

float prepare_card_height(const Theme& theme) {
  return theme.px(62.0F) + theme.px(kRowHeight) * static_cast<float>(show::prepare_points().size());
}

void draw_prepare_card(const Rect& area, show::RingOut& flow, const Theme& theme) {
  const auto points = show::prepare_points();
  Rect card = area;
  card = card.take_top(std::min(prepare_card_height(theme), area.height()));
  draw_card(card, theme);
  Rect inner = card.inset(theme.px(16.0F));
  const Rect head = inner.take_top(theme.px(34.0F));
  draw_text(theme.title, head.left, head.top, colour::kText, "Before the fader goes up");
  const std::size_t next = next_open(*flow.output());
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  for (std::size_t point = 0; point < points.size(); ++point) {
    const Rect row = inner.take_top(theme.px(kRowHeight));
    const bool is_done = show::is_prepared(*flow.output(), point);
    const float size = theme.px(18.0F);
    draw_box(row.left, row.middle_y() - 0.5F * size, size, is_done, theme);
    const float y = row.middle_y() - 0.5F * theme.body->FontSize;
    draw_text(point == next ? theme.strong : theme.body,
              row.left + theme.px(32.0F),
              y,
              is_done ? colour::kQuiet : colour::kText,
              points[point]);
    if (point == next) {
      draw_text(theme.strong, row.right, y, colour::kYellow, "P", Align::kRight);
    }
    if (row.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0)) {
      flow.tick(point, !is_done);
    }
  }
}

void draw_first_card(const Rect& area, bool is_looking, const Theme& theme) {
  Rect card = area;
  card = card.take_top(std::min(theme.px(250.0F), area.height()));
  draw_card(card, theme, colour::kCardLit);
  Rect inner = card.inset(theme.px(18.0F));
  if (is_looking) {
    draw_text(theme.title, inner.left, inner.top, colour::kText, "Looking into the book ...");
    return;
  }
  draw_first_step(inner, "N", "names the first output.", 0.6F * inner.height(), theme);
  draw_wrapped(theme.body,
               inner.left,
               inner.top,
               inner.width(),
               colour::kText,
               "A wedge, a side fill, the mains. Outputs are rung out one at a time, all others "
               "down.");
}

}  // namespace brink::panel
