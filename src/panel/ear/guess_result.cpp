#include "panel/ear/guess_result.h"

#include "panel/draw/draw.h"
#include "panel/ear/guess_words.h"

namespace brink::panel {

void draw_guess_result(const Rect& area,
                       const ear::GuessResult& result,
                       bool by_note,
                       std::uint64_t serial,
                       const Context& context) {
  const Theme& theme = context.theme;
  const GuessWords words = guess_words(result, by_note);
  Rect rest = area;
  const bool is_low = area.height() < theme.px(150.0F);
  ImFont* const large = is_low ? theme.title : theme.seen.front().font;
  const Rect head = rest.take_top(large->FontSize + theme.px(10.0F));
  const float width = draw_text(
      large, head.left, head.top, result.is_right ? colour::kSky : colour::kOrange, words.verdict);
  draw_text(theme.title,
            head.left + width + theme.px(18.0F),
            head.top + 0.83F * (large->FontSize - theme.title->FontSize),
            colour::kText,
            words.answer);
  for (const std::string& line : words.lines) {
    rest.take_top(draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kText, line) +
                  theme.px(4.0F));
  }
  const bool is_kept = context.book.kept() >= serial;
  const auto trouble = context.book.trouble();
  draw_text(theme.body,
            rest.left,
            rest.top,
            is_kept || !trouble ? colour::kQuiet : colour::kOrange,
            is_kept   ? std::string("Kept in the book.")
            : trouble ? "Not in the book yet: " + *trouble
                      : std::string("Being written to the book ..."));
}

}  // namespace brink::panel
