#include "panel/live/ring_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr float kCardHeight = 134.0F;
constexpr float kBandHeight = 20.0F;
constexpr float kGap = 8.0F;
constexpr float kBannerHeight = 84.0F;

}  // namespace

float ring_card_height(const RingCard& card, const Theme& theme) noexcept {
  return theme.px(kCardHeight + kBandHeight * static_cast<float>(card.bands.size()));
}

void draw_down_now(Rect& area,
                   std::span<const detector::Ring> rings,
                   bool hides_answers,
                   const Theme& theme) {
  const auto urgent = std::find_if(rings.begin(), rings.end(), [](const detector::Ring& ring) {
    return ring_words(ring).is_urgent;
  });
  if (urgent == rings.end()) {
    return;
  }
  const Rect banner = area.take_top(theme.px(kBannerHeight));
  area.take_top(theme.px(kGap));
  draw_card(banner, theme, colour::kVermilion);
  draw_text(theme.huge,
            banner.left + theme.px(20.0F),
            banner.top + theme.px(4.0F),
            colour::kGround,
            "Down now");
  const std::string what = hides_answers ? "A ring" : base::frequency_label(urgent->frequency_hz);
  draw_text(
      theme.strong,
      banner.left + theme.px(20.0F),
      banner.bottom - theme.px(28.0F),
      colour::kGround,
      fmt::format("{}, {}, {:.0f} dBFS", what, ring_words(*urgent).growth, urgent->level_dbfs));
}

void draw_ring_card(const Rect& area,
                    const RingCard& card,
                    bool is_selected,
                    bool hides_answers,
                    const Theme& theme) {
  const RingWords words = ring_words(card.ring);
  const ImU32 paint = state_colour(words.state);
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
            hides_answers ? "? Hz" : base::frequency_label(card.ring.frequency_hz));
  if (!hides_answers) {
    draw_text(theme.body,
              right,
              area.top + theme.px(12.0F),
              colour::kQuiet,
              base::note_name(card.ring.frequency_hz),
              Align::kRight);
    draw_text(theme.title, left, area.top + theme.px(57.0F), colour::kText, card.cut);
    draw_text(theme.small,
              left,
              area.top + theme.px(84.0F),
              colour::kQuiet,
              shortened(theme.small, card.about, right - left));
    float y = area.top + theme.px(102.0F);
    for (const std::string& band : card.bands) {
      draw_text(theme.small, left, y, colour::kText, shortened(theme.small, band, right - left));
      y += theme.px(kBandHeight);
    }
  }
  draw_text(theme.title, right, area.top + theme.px(33.0F), paint, words.growth, Align::kRight);
  const float foot = area.bottom - theme.px(30.0F);
  draw_state_mark(
      left + theme.px(6.0F), foot + 0.5F * theme.strong->FontSize, theme.px(6.0F), words.state);
  draw_text(theme.strong, left + theme.px(22.0F), foot, paint, detector::to_word(words.state));
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

std::string more_words(int sounding, int over) {
  std::string words = sounding > 0 ? fmt::format("and {} more", sounding) : "";
  if (over > 0) {
    words += fmt::format("{}{} {} over", words.empty() ? "" : ", ", over, over == 1 ? "is" : "are");
  }
  return words;
}

std::optional<std::size_t> draw_ring_cards(const Rect& area,
                                           std::span<const RingCard> cards,
                                           std::size_t lit,
                                           bool hides_answers,
                                           const Actions& actions,
                                           const Theme& theme) {
  Rect rest = area;
  const float line = theme.px(22.0F);
  const auto fits_from = [&](std::size_t first) {
    float height = 0.0F;
    std::size_t count = 0;
    for (std::size_t i = first; i < cards.size(); ++i) {
      height += ring_card_height(cards[i], theme) + theme.px(kGap);
      if (height > area.height() + theme.px(kGap) - (i + 1 < cards.size() ? line : 0.0F)) {
        break;
      }
      ++count;
    }
    return std::max<std::size_t>(count, 1);
  };
  std::size_t first = 0;
  while (first < lit && first + fits_from(first) <= lit) {
    ++first;
  }
  const std::size_t end = std::min(cards.size(), first + fits_from(first));
  std::optional<std::size_t> clicked;
  for (std::size_t i = first; i < end; ++i) {
    const Rect place = rest.take_top(ring_card_height(cards[i], theme));
    draw_ring_card(place, cards[i], i == lit, hides_answers, theme);
    if (actions.is_clicked(place)) {
      clicked = i;
    }
    rest.take_top(theme.px(kGap));
  }
  int sounding = 0;
  int over = 0;
  for (std::size_t i = end; i < cards.size(); ++i) {
    (detector::is_over(cards[i].ring.state) ? over : sounding) += 1;
  }
  if (rest.height() > theme.body->FontSize) {
    draw_text(theme.body, rest.left, rest.top, colour::kQuiet, more_words(sounding, over));
  }
  return clicked;
}

}  // namespace brink::panel
