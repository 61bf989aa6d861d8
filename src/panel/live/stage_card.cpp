#include "panel/live/stage_card.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "panel/draw/draw.h"
#include "panel/live/ring_rows.h"
#include "show/cut_record.h"

namespace brink::panel {
namespace {

constexpr double kStepDb = 1.0;
constexpr double kSamePlaceOctaves = 1.0 / 6.0;

/// The selected ring's cut goes onto the equaliser. Where there is one already, it gets deeper: a
/// ring that comes back needs more of the same, not another filter.
void make_cut(desk::Desk& desk, const desk::BoardRow& row) {
  cuts::Setting setting = desk.equaliser();
  for (const cuts::Cut& cut : row.cuts) {
    const auto near = std::find_if(setting.cuts.begin(), setting.cuts.end(), [&](const auto& old) {
      return std::abs(std::log2(old.centre_hz / cut.centre_hz)) < kSamePlaceOctaves;
    });
    const cuts::Target& target = desk.board().target();
    if (near != setting.cuts.end()) {
      near->depth_db = std::max(near->depth_db + cut.depth_db, target.deepest_db);
    } else if (target.kind == cuts::Target::Kind::kParametric &&
               static_cast<int>(setting.cuts.size()) >= target.bands) {
      desk.set_trouble(fmt::format("all {} bands of the target are in use.", target.bands));
      return;
    } else {
      setting.cuts.push_back(cut);
    }
  }
  desk.set_equaliser(std::move(setting));
  desk.switch_cuts(true);
}

void offer_hands(Context& context) {
  desk::Desk& desk = context.desk;
  Actions& actions = context.actions;
  const auto rows = desk.board().rows();
  const int up = actions.count_presses(Key::kUp) - actions.count_presses(Key::kDown);
  if (up != 0) {
    desk.set_fader_db(desk.fader_db() + kStepDb * up);
  }
  actions.show("\u2191\u2193", "fader");
  const auto selected = static_cast<std::size_t>(context.view.selected_row);
  if (selected < rows.size() && is_flagged(rows[selected].ring) && !rows[selected].cuts.empty() &&
      actions.offer("Space", "make this cut")) {
    make_cut(desk, rows[selected]);
  }
  if (!desk.equaliser().cuts.empty() &&
      actions.offer("C", desk.has_cuts_in() ? "cuts out" : "cuts in")) {
    desk.switch_cuts(!desk.has_cuts_in());
  }
  if (!desk.equaliser().cuts.empty() && actions.offer("F", "flat")) {
    desk.set_equaliser({});
  }
}

void draw_fader(const Rect& area, double fader_db, const Theme& theme) {
  const auto x_of = [&](double level_db) {
    const double share =
        (level_db - desk::StageControls::kLowestFaderDb) /
        (desk::StageControls::kHighestFaderDb - desk::StageControls::kLowestFaderDb);
    return area.left + area.width() * static_cast<float>(share);
  };
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
  const std::vector<show::CutRecord> cuts = show::to_records(setting);
  const std::size_t unnamed = cuts.size() - std::min(cuts.size(), kMostNamed);
  std::string words;
  for (std::size_t index = unnamed; index < cuts.size(); ++index) {
    words += (words.empty() ? "" : ",  ") + show::cut_words(cuts[index], kind);
  }
  return words + (unnamed > 0 ? fmt::format(" and {} before", unnamed) : "");
}

}  // namespace

float stage_card_height(const Theme& theme) noexcept {
  return theme.px(150.0F);
}

void draw_stage_card(const Rect& area, Context& context) {
  offer_hands(context);
  const Theme& theme = context.theme;
  const desk::Desk& desk = context.desk;
  draw_card(area, theme);
  Rect inner = area.inset(theme.px(16.0F));
  const Rect head = inner.take_top(theme.px(28.0F));
  draw_text(theme.strong, head.left, head.top, colour::kText, "Simulated stage, nothing sounds");
  draw_text(theme.title,
            head.right,
            head.top - theme.px(3.0F),
            colour::kText,
            fmt::format("{:+.0f} dB", desk.fader_db()),
            Align::kRight);
  draw_fader(inner.take_top(theme.px(30.0F)), desk.fader_db(), theme);
  std::string words =
      desk.equaliser().cuts.empty()
          ? "Equaliser flat. At 0 dB this loop stands on its brink: bring the fader up, one step "
            "at a time."
          : fmt::format("{}: {}",
                        desk.has_cuts_in() ? "Cuts in" : "Cuts out",
                        context.view.hides_answers
                            ? fmt::format("{}", desk.equaliser().cuts.size())
                            : list_cuts(desk.equaliser(), desk.board().target().kind));
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
