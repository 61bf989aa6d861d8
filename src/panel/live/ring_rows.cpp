#include "panel/live/ring_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "panel/draw/draw.h"
#include "panel/draw/seen.h"

namespace brink::panel {
namespace {

constexpr float kGap = 8.0F;
constexpr float kMoreHeight = 22.0F;

}  // namespace

QuietWords quiet_words(const std::string& deaf, bool is_check) {
  if (!deaf.empty()) {
    return {deaf, "Pull the fader down: it may ring unheard."};
  }
  return is_check ? QuietWords{"Nothing else rings", "What was cut last still sounds."}
                  : QuietWords{"Nothing rings", "What creeps up to the brink shows here."};
}

void draw_quiet_card(Rect& area, const std::string& deaf, bool is_check, const Theme& theme) {
  const QuietWords words = quiet_words(deaf, is_check);
  const float left = theme.px(20.0F);
  const SeenText heading = lay_seen(
      theme, words.heading, area.width() - 2.0F * left, 0.5F * area.height(), kPreferredArcMin);
  const Rect card = area.take_top(heading.height() + theme.px(52.0F));
  draw_card(card, theme);
  draw_seen(heading,
            card.left + left,
            card.top + theme.px(12.0F),
            deaf.empty() ? colour::kText : colour::kVermilion);
  draw_text(
      theme.body, card.left + left, card.bottom - theme.px(30.0F), colour::kQuiet, words.line);
  area.take_top(theme.px(kGap));
}

float cards_width(float pane_width, const Theme& theme) noexcept {
  constexpr float kLeast = 392.0F;
  constexpr float kMost = 640.0F;
  constexpr float kShare = 0.46F;
  return std::clamp(kShare * pane_width, theme.px(kLeast), theme.px(kMost));
}

std::string more_words(int sounding, int over) {
  std::string words = sounding > 0 ? fmt::format("and {} more", sounding) : "";
  if (over > 0) {
    words += fmt::format("{}{} {} over", words.empty() ? "" : ", ", over, over == 1 ? "is" : "are");
  }
  return words;
}

CardHeights share_out(float height,
                      const RingCard& lit,
                      std::size_t others,
                      const Theme& theme) noexcept {
  const float gap = theme.px(kGap);
  const float least_row = theme.px(kRowHeight) + gap;
  CardHeights heights;
  heights.lit = std::clamp(height - least_row * static_cast<float>(others),
                           std::min(least_card_height(lit, theme), height),
                           std::max(whole_card_height(lit, theme), 0.0F));
  const float rest = height - heights.lit;
  heights.rows = std::min(others, static_cast<std::size_t>(std::max(rest, 0.0F) / least_row));
  if (heights.rows < others) {
    const float rows = std::max(rest - theme.px(kMoreHeight), 0.0F);
    heights.rows = static_cast<std::size_t>(rows / least_row);
  }
  if (heights.rows > 0) {
    heights.row = std::min(rest / static_cast<float>(heights.rows) - gap, theme.px(kMostRowHeight));
    heights.row = std::max(heights.row, theme.px(kRowHeight));
  }
  return heights;
}

std::optional<std::size_t> draw_ring_cards(const Rect& area,
                                           std::span<const RingCard> cards,
                                           std::size_t lit,
                                           Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  const CardHeights heights = share_out(area.height(), cards[lit], cards.size() - 1, theme);
  // The lit one is the first, or lies further down where the user chose it among what is over.
  const std::size_t first = lit > heights.rows ? lit - heights.rows : 0;
  const std::size_t end = std::min(cards.size(), first + heights.rows + 1);
  std::optional<std::size_t> clicked;
  for (std::size_t i = first; i < end; ++i) {
    const Rect place = rest.take_top(i == lit ? heights.lit : heights.row);
    if (i == lit) {
      draw_lit_card(place, cards[i], context);
    } else {
      draw_ring_row(place, cards[i], context);
    }
    if (context.actions.is_clicked(place)) {
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
