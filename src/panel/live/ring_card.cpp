#include "panel/live/ring_card.h"

#include <algorithm>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/seen.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr float kBandHeight = 20.0F;
constexpr float kFootHeight = 30.0F;
constexpr float kAboutHeight = 22.0F;
constexpr float kEdge = 10.0F;
/// Frequency and cut: in the smallest letters, and as large as they are meant to be.
constexpr float kLeastLetters = 68.0F;
constexpr float kMostLetters = 276.0F;
constexpr float kFrequencyShare = 0.48F;  // of the letters' height

/// Everything but frequency and cut.
float rest_height(const RingCard& card, const Theme& theme) noexcept {
  return theme.px(kEdge + kFootHeight + (card.about.empty() ? 0.0F : kAboutHeight) +
                  kBandHeight * static_cast<float>(card.bands.size()));
}

void draw_ground(const Rect& area, detector::RingState state, bool is_lit, const Theme& theme) {
  const ImU32 paint = state_colour(state);
  draw_card(area, theme, is_lit ? colour::kCardLit : colour::kCard);
  canvas().AddRectFilled(ImVec2(area.left, area.top),
                         ImVec2(area.left + theme.px(6.0F), area.bottom),
                         paint,
                         theme.px(3.0F));
  if (is_lit) {
    canvas().AddRect(ImVec2(area.left, area.top),
                     ImVec2(area.right, area.bottom),
                     paint,
                     theme.px(6.0F),
                     0,
                     theme.px(1.5F));
  }
}

/// State by shape and word, growth, note; what else is to say at the right.
void draw_foot(const Rect& line, const RingCard& card, bool hides_answers, const Theme& theme) {
  const RingWords words = ring_words(card.ring);
  const ImU32 paint = state_colour(words.state);
  const float y = line.middle_y() - 0.5F * theme.strong->FontSize;
  draw_state_mark(line.left + theme.px(7.0F), line.middle_y(), theme.px(7.0F), words.state);
  float x = line.left + theme.px(22.0F);
  x += draw_text(theme.strong, x, y, paint, detector::to_word(words.state)) + theme.px(14.0F);
  if (!words.growth.empty()) {
    x += draw_text(
             theme.title, x, line.middle_y() - 0.5F * theme.title->FontSize, paint, words.growth) +
         theme.px(14.0F);
  }
  const float foot = text_width(card.is_foot_lit ? theme.strong : theme.body, card.foot);
  const std::string note = hides_answers ? "" : base::note_name(card.ring.frequency_hz);
  if (x + text_width(theme.body, note) + theme.px(14.0F) + foot < line.right) {
    draw_text(theme.body, x, y, colour::kQuiet, note);
  }
  draw_text(card.is_foot_lit ? theme.strong : theme.body,
            line.right,
            y,
            card.is_foot_lit ? colour::kText : colour::kQuiet,
            card.foot,
            Align::kRight);
}

}  // namespace

std::string shown_frequency(const detector::Ring& ring, bool hides_answers) {
  return hides_answers ? "? Hz" : base::frequency_label(ring.frequency_hz);
}

float least_card_height(const RingCard& card, const Theme& theme) noexcept {
  return rest_height(card, theme) + theme.px(kLeastLetters);
}

float whole_card_height(const RingCard& card, const Theme& theme) noexcept {
  return rest_height(card, theme) + theme.px(kMostLetters);
}

void draw_lit_card(const Rect& area, const RingCard& card, Context& context) {
  const Theme& theme = context.theme;
  const bool hides = context.view.hides_answers;
  draw_ground(area, ring_words(card.ring).state, true, theme);
  Rect inner = area;
  inner.left += theme.px(20.0F);
  inner.right -= theme.px(16.0F);
  draw_foot(inner.take_bottom(theme.px(kFootHeight)), card, hides, theme);
  inner.take_top(theme.px(kEdge));
  float rest = area.height() - rest_height(card, theme);
  const std::string frequency = shown_frequency(card.ring, hides);
  const SeenText first = lay_seen(
      theme, frequency, inner.width(), hides ? rest : kFrequencyShare * rest, kFirstArcMin);
  draw_seen(first, inner.left, inner.top, colour::kText);
  context.seen.note(Acted::kFrequency, *first.font);
  if (hides) {
    return;
  }
  inner.take_top(first.height());
  rest -= first.height();
  const SeenText cut = lay_seen(theme, card.cut, inner.width(), rest, kPreferredArcMin);
  draw_seen(cut, inner.left, inner.top, colour::kText);
  context.seen.note(Acted::kCut, *cut.font);
  inner.take_top(cut.height() + theme.px(2.0F));
  if (!card.about.empty()) {
    const Rect line = inner.take_top(theme.px(kAboutHeight));
    draw_text(theme.small,
              line.left,
              line.top,
              colour::kQuiet,
              shortened(theme.small, card.about, line.width()));
  }
  for (const std::string& band : card.bands) {
    const Rect line = inner.take_top(theme.px(kBandHeight));
    draw_text(theme.small,
              line.left,
              line.top,
              colour::kText,
              shortened(theme.small, band, line.width()));
  }
}

void draw_ring_row(const Rect& area, const RingCard& card, Context& context) {
  constexpr float kTwoLines = 88.0F;
  const Theme& theme = context.theme;
  const bool hides = context.view.hides_answers;
  const RingWords words = ring_words(card.ring);
  draw_ground(area, words.state, false, theme);
  Rect inner = area;
  inner.left += theme.px(20.0F);
  inner.right -= theme.px(16.0F);
  if (area.height() >= theme.px(kTwoLines)) {
    draw_foot(inner.take_bottom(theme.px(kFootHeight)), card, hides, theme);
  } else {
    draw_state_mark(inner.left + theme.px(7.0F), inner.middle_y(), theme.px(7.0F), words.state);
    inner.take_left(theme.px(24.0F));
  }
  const std::string frequency = shown_frequency(card.ring, hides);
  const SeenText text =
      lay_seen(theme, frequency, inner.width(), inner.height() - theme.px(4.0F), kLeastArcMin);
  draw_seen(text, inner.left, inner.middle_y() - 0.5F * text.height(), colour::kText);
  const float used = text.width() + theme.px(16.0F);
  if (!hides) {
    const SeenText cut = lay_seen(
        theme, card.cut, inner.width() - used, inner.height() - theme.px(4.0F), kLeastArcMin);
    draw_seen(
        cut, inner.right, inner.middle_y() - 0.5F * cut.height(), colour::kText, Align::kRight);
  }
}

}  // namespace brink::panel
