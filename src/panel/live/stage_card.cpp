#include "panel/live/stage_card.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "desk/obey_show.h"
#include "panel/draw/draw.h"
#include "panel/draw/seen.h"
#include "panel/draw/words.h"
#include "panel/window/now.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

constexpr double kStepDb = 1.0;

}  // namespace

bool can_cut(const ListenRow& row) {
  using Kind = show::Proposal::Kind;
  const detector::RingState state = row.ring.state;
  if (!row.proposal || row.proposal->kind == Kind::kCannot || detector::is_over(state)) {
    return false;
  }
  return row.is_offered || state != detector::RingState::kFading ||
         row.proposal->kind == Kind::kAdds;
}

namespace {

constexpr double kWholeWayDb =
    desk::StageControls::kHighestFaderDb - desk::StageControls::kLowestFaderDb;

float fader_x(const Rect& area, double level_db) {
  const double share = (level_db - desk::StageControls::kLowestFaderDb) / kWholeWayDb;
  return area.left + area.width() * static_cast<float>(share);
}

/// The handle is dragged, the wheel over the card steps.
void follow_mouse(const Rect& card, const Rect& way, FaderHand& hand, Context& context) {
  desk::Desk& desk = context.desk;
  constexpr double kDragStepDb = 0.5;
  const Actions& actions = context.actions;
  const float x = ImGui::GetIO().MousePos.x;
  const float handle = fader_x(way, desk.fader_db());
  const float reach = context.theme.px(12.0F);
  if (actions.is_clicked({handle - reach, way.top, handle + reach, way.bottom})) {
    hand = {true, x, desk.fader_db(), 0.0F};
  }
  hand.is_held = hand.is_held && ImGui::IsMouseDown(0);
  if (hand.is_held && x != hand.held_x) {
    const double moved_db = static_cast<double>((x - hand.held_x) / way.width()) * kWholeWayDb;
    desk::move_fader(context.show.flow(),
                     desk,
                     std::round((hand.held_db + moved_db) / kDragStepDb) * kDragStepDb);
  }
  hand.wheel += actions.wheel_steps(card);
  const float whole = std::trunc(hand.wheel);
  if (whole != 0.0F) {
    hand.wheel -= whole;
    desk::move_fader(
        context.show.flow(), desk, desk.fader_db() + kStepDb * static_cast<double>(whole));
  }
}

void draw_fader(const Rect& area, double fader_db, const Theme& theme) {
  const auto x_of = [&](double level_db) { return fader_x(area, level_db); };
  const float y = area.middle_y();
  canvas().AddRectFilled(ImVec2(area.left, y - theme.px(3.0F)),
                         ImVec2(area.right, y + theme.px(3.0F)),
                         colour::kGrid,
                         theme.px(3.0F));
  canvas().AddLine(ImVec2(x_of(0.0), y - theme.px(9.0F)),
                   ImVec2(x_of(0.0), y + theme.px(9.0F)),
                   colour::kText,
                   theme.px(1.0F));
  const float x = x_of(fader_db);
  canvas().AddRectFilled(ImVec2(x - theme.px(5.0F), y - theme.px(11.0F)),
                         ImVec2(x + theme.px(5.0F), y + theme.px(11.0F)),
                         colour::kYellow,
                         theme.px(3.0F));
}

std::string list_cuts(const cuts::Setting& setting, cuts::Target::Kind kind) {
  constexpr std::size_t kMostNamed = 4;  // so many fit
  const std::vector<cuts::Band> cuts = cuts::to_bands(setting);
  const std::size_t unnamed = cuts.size() - std::min(cuts.size(), kMostNamed);
  std::string words;
  for (std::size_t index = unnamed; index < cuts.size(); ++index) {
    words += (words.empty() ? "" : ",  ") + show::cut_words(cuts[index], kind);
  }
  return words + (unnamed > 0 ? fmt::format(" and {} before", unnamed) : "");
}

}  // namespace

void steer_stage(const ListenRow* lit, desk::LitRing& lit_ring, Context& context) {
  desk::Desk& desk = context.desk;
  Actions& actions = context.actions;
  // Down as fast as the key repeats, up one step a press.
  const int up = actions.count_fresh_presses(Key::kUp) - actions.count_presses(Key::kDown);
  if (up != 0) {
    desk::move_fader(context.show.flow(), desk, desk.fader_db() + kStepDb * up);
  }
  actions.show("\u2191\u2193", "fader");
  const bool is_rung_out = context.show.flow().output() != nullptr;
  if (lit != nullptr && can_cut(*lit) &&
      actions.offer("Space", is_rung_out ? "log this cut" : "make this cut") &&
      lit_ring.is_settled(now_s())) {
    desk::make_cut(context.show.flow(), desk, lit->id);
    lit_ring.begin_anew(now_s());  // what it offers next is another cut
  }
  // The equaliser of an output that is rung out is its show's alone.
  if (is_rung_out || desk.equaliser().cuts.empty()) {
    return;
  }
  if (actions.offer("C", desk.has_cuts_in() ? "cuts out" : "cuts in")) {
    desk.switch_cuts(!desk.has_cuts_in());
  }
  if (actions.offer(Key::kDelete, "Del", "flat")) {
    desk.set_equaliser({});
  }
}

float stage_card_height(const Theme& theme) noexcept {
  return theme.px(162.0F);
}

void draw_stage_card(const Rect& area, FaderHand& hand, Context& context) {
  const Theme& theme = context.theme;
  desk::Desk& desk = context.desk;
  draw_card(area, theme);
  Rect inner = area.inset(theme.px(14.0F));
  const Rect head = inner.take_top(theme.px(54.0F));
  const std::string level = fader_words(desk.fader_db());
  const SeenText fader =
      lay_seen(theme, level, 0.5F * head.width(), 1.1F * head.height(), kLeastArcMin);
  draw_seen(
      fader, head.right, head.middle_y() - 0.5F * fader.height(), colour::kText, Align::kRight);
  context.seen.note(Acted::kFader, *fader.font);
  draw_wrapped(theme.strong,
               head.left,
               head.top + theme.px(4.0F),
               head.width() - fader.width() - theme.px(16.0F),
               colour::kText,
               "Simulated stage, nothing sounds");
  const Rect way = inner.take_top(theme.px(30.0F));
  follow_mouse(area, way, hand, context);
  draw_fader(way, desk.fader_db(), theme);
  std::string words =
      desk.equaliser().cuts.empty()
          ? "Equaliser flat. At 0 dB this loop stands on its brink: bring the fader up, one step "
            "at a time."
          : fmt::format("{}: {}",
                        desk.has_cuts_in() ? "Cuts in" : "Cuts out",
                        context.view.hides_answers
                            ? fmt::format("{}", desk.equaliser().cuts.size())
                            : list_cuts(desk.equaliser(), desk.target().kind));
  if (const auto won = desk.true_gain_won_db(); won && !desk.equaliser().cuts.empty()) {
    words += fmt::format(". True stable gain won: {:+.1f} dB", *won);
  }
  draw_wrapped(theme.small,
               inner.left,
               inner.top + theme.px(4.0F),
               inner.width(),
               desk.has_cuts_in() ? colour::kText : colour::kQuiet,
               words);
}

}  // namespace brink::panel
