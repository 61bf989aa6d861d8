#include "panel/ear/ruler_hand.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/printable.h"
#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

constexpr float kLineHeight = 28.0F;
constexpr float kFieldWidth = 150.0F;
constexpr float kHeadHeight = 70.0F;
constexpr float kResultHeight = 178.0F;
constexpr float kTallestRuler = 420.0F;
constexpr float kGap = 10.0F;

}  // namespace

GuessPlaces guess_places(const Rect& area, const Theme& theme) noexcept {
  GuessPlaces places;
  Rect rest = area;
  places.head = rest.take_top(theme.px(kHeadHeight));
  const float result = std::min(theme.px(kResultHeight), 0.30F * rest.height());
  const float keys = theme.px(2.0F * kLineHeight);
  const float gap = theme.px(kGap);
  const float room = rest.height() - result - keys - gap;
  places.ruler = rest.take_top(std::min(theme.px(kTallestRuler), room));
  rest.take_top(gap);
  places.keys = rest.take_top(keys);
  places.result = rest;
  return places;
}

void RulerHand::draw(const Rect& area,
                     const FrequencyAxis& axis,
                     ear::Ruler& ruler,
                     RulerView view,
                     const Context& context) {
  const Actions& actions = context.actions;
  const auto steps = [&](bool has_shift) {
    return actions.count_presses(Key::kRight, has_shift) -
           actions.count_presses(Key::kLeft, has_shift);
  };
  if (const int bands = steps(false); bands != 0) {
    ruler.step_bands(bands);
    fault_.clear();
  }
  if (const int fine = steps(true); fine != 0) {
    ruler.step_fine(fine);
    fault_.clear();
  }
  if (!view.is_open) {
    fault_.clear();
  }
  view.guess_hz = ruler.frequency_hz();
  if (const auto pointed_hz = draw_ear_ruler(area, axis, view, actions, context.theme)) {
    ruler.place(*pointed_hz);
    fault_.clear();
  }
}

void RulerHand::draw_keys(std::size_t first,
                          const Rect& area,
                          ear::Ruler& ruler,
                          const Context& context) {
  const Theme& theme = context.theme;
  Actions& actions = context.actions;
  if (field_.is_open()) {
    Rect line = area;
    const float y = line.top + theme.px(4.0F);
    draw_text(theme.strong, line.left, y, colour::kText, "Guess");
    line.take_left(theme.px(60.0F));
    const Rect place = line.take_left(theme.px(kFieldWidth));
    draw_wrapped(theme.body,
                 line.left + theme.px(14.0F),
                 y,
                 line.width() - theme.px(14.0F),
                 colour::kQuiet,
                 "as 2500, 2.5k or A4. Enter places it, Esc leaves.");
    if (field_.draw(place, context)) {
      const auto typed_hz = ear::parse_guess(field_.text());
      fault_ = typed_hz
                   ? std::string()
                   : fmt::format("\"{}\" is no frequency from {:g} Hz to {:g} kHz and no note.",
                                 base::printable(field_.text()),
                                 ear::Ruler::kLowHz,
                                 ear::Ruler::kHighHz / 1000.0);
      ruler.place(typed_hz.value_or(ruler.frequency_hz()));
    }
    return;
  }
  actions.show("\u2190\u2192", "third-octave");
  actions.show("Shift \u2190\u2192", fmt::format("{:g} cents", ear::Ruler::kFineCents));
  if (actions.offer("A", "type an answer")) {
    field_.open(U'A', context);
  }
  const float used = actions.draw_apart(first, area, theme.px(kLineHeight), theme);
  if (!fault_.empty()) {
    draw_text(theme.body, area.left, area.top + used, colour::kOrange, fault_);
  }
}

}  // namespace brink::panel
