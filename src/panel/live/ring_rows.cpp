#include "panel/live/ring_rows.h"

#include <fmt/format.h>

#include <string>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr float kRowHeight = 122.0F;
constexpr float kGap = 8.0F;

RingCard to_card(const desk::BoardRow& row, bool names_tap, cuts::Target::Kind kind) {
  return {.state = row.ring.state,
          .frequency_hz = row.ring.frequency_hz,
          .growth_db_per_s = row.ring.growth_db_per_s,
          .cut = is_flagged(row.ring) ? cut_words(row.cuts, kind) : kNoCutYet,
          .foot = fmt::format("{}{:.0f} dBFS, {:.0f} % sure",
                              names_tap ? fmt::format("channel {}, ", row.tap) : std::string(),
                              row.ring.level_dbfs,
                              100.0 * row.ring.confidence)};
}

}  // namespace

void draw_ring_card(const Rect& area,
                    const RingCard& card,
                    bool is_selected,
                    bool hides_answers,
                    const Theme& theme) {
  const ImU32 paint = state_colour(card.state);
  draw_card(area, theme, is_selected ? colour::kCardLit : colour::kCard);
  canvas().AddRectFilled(ImVec2(area.left, area.top),
                         ImVec2(area.left + theme.px(6.0F), area.bottom),
                         paint,
                         theme.px(3.0F));
  if (is_selected) {
    canvas().AddRect(ImVec2(area.left, area.top),
                     ImVec2(area.right, area.bottom),
                     paint,
                     theme.px(6.0F),
                     0,
                     theme.px(1.5F));
  }
  const float left = area.left + theme.px(20.0F);
  const float right = area.right - theme.px(16.0F);
  draw_text(theme.huge,
            left,
            area.top + theme.px(8.0F),
            colour::kText,
            hides_answers ? "? Hz" : base::frequency_label(card.frequency_hz));
  if (!hides_answers) {
    draw_text(theme.body,
              right,
              area.top + theme.px(12.0F),
              colour::kQuiet,
              base::note_name(card.frequency_hz),
              Align::kRight);
    draw_text(theme.title, left, area.top + theme.px(57.0F), colour::kText, card.cut);
    draw_text(theme.small, left, area.top + theme.px(84.0F), colour::kQuiet, card.about);
  }
  draw_text(theme.title,
            right,
            area.top + theme.px(33.0F),
            paint,
            growth_words(card.state, card.growth_db_per_s),
            Align::kRight);
  const float foot = area.bottom - theme.px(30.0F);
  draw_state_mark(
      left + theme.px(6.0F), foot + 0.5F * theme.strong->FontSize, theme.px(6.0F), card.state);
  draw_text(theme.strong, left + theme.px(22.0F), foot, paint, detector::to_word(card.state));
  draw_text(card.is_foot_lit ? theme.strong : theme.body,
            right,
            foot,
            card.is_foot_lit ? colour::kText : colour::kQuiet,
            card.foot,
            Align::kRight);
}

QuietWords quiet_words(const std::string& deaf, bool is_check) {
  if (!deaf.empty()) {
    return {deaf, "Pull the fader down: it may ring unheard."};
  }
  return is_check ? QuietWords{"Nothing else rings", "What was cut last still sounds."}
                  : QuietWords{"Nothing rings", "What creeps up to the brink shows here."};
}

void draw_quiet_card(Rect& area, const std::string& deaf, bool is_check, const Theme& theme) {
  const QuietWords words = quiet_words(deaf, is_check);
  const Rect card = area.take_top(theme.px(72.0F));
  draw_card(card, theme);
  const float left = card.left + theme.px(20.0F);
  draw_text(theme.title,
            left,
            card.top + theme.px(12.0F),
            deaf.empty() ? colour::kText : colour::kVermilion,
            words.heading);
  draw_text(theme.body, left, card.top + theme.px(42.0F), colour::kQuiet, words.line);
  area.take_top(theme.px(kGap));
}

float ring_row_height(const Theme& theme) noexcept {
  return theme.px(kRowHeight + kGap);
}

Rect draw_ring_rows(const Rect& area,
                    std::span<const desk::BoardRow> rows,
                    cuts::Target::Kind kind,
                    int selected_row,
                    const std::string& deaf,
                    bool names_taps,
                    bool hides_answers,
                    const Theme& theme) {
  Rect rest = area;
  if (rows.empty() || !deaf.empty()) {
    draw_quiet_card(rest, deaf, false, theme);
  }
  int index = 0;
  for (const desk::BoardRow& row : rows) {
    if (rest.height() < theme.px(kRowHeight)) {
      const std::string more = fmt::format("and {} more", static_cast<int>(rows.size()) - index);
      draw_text(theme.body, rest.left, rest.top, colour::kQuiet, more);
      rest.top += theme.body->FontSize;
      break;
    }
    draw_ring_card(rest.take_top(theme.px(kRowHeight)),
                   to_card(row, names_taps, kind),
                   index == selected_row,
                   hides_answers,
                   theme);
    rest.take_top(theme.px(kGap));
    ++index;
  }
  return rest;
}

}  // namespace brink::panel
