#include "panel/live/afar.h"

#include <algorithm>

#include "panel/draw/draw.h"
#include "panel/draw/seen.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr double kLargestArcMin = 45.0;
constexpr float kAfarShare = 0.3F;        // of the height, for the instruction
constexpr float kFrequencyShare = 0.43F;  // of what is left between instruction and foot
constexpr float kEdge = 24.0F;

/// Cuts the words off the upper edge of the area.
void draw_upper(Rect& area,
                const std::string& words,
                float height,
                double most_arc_min,
                Acted what,
                Context& context) {
  const SeenText text = lay_seen(context.theme, words, area.width(), height, most_arc_min);
  draw_seen(text, area.left, area.top, colour::kText);
  context.seen.note(what, *text.font);
  area.take_top(text.height() + context.theme.px(8.0F));
}

/// Fader at the left, state and growth of the ring at the right.
void draw_lower(Rect& area, const AfarView& view, Context& context) {
  const Theme& theme = context.theme;
  const float height = static_cast<float>(1.5 * px_of_arc(kPreferredArcMin)) * theme.scale;
  const Rect line = area.take_bottom(std::min(height, 0.2F * area.height()));
  const std::string fader = view.fader.empty() ? "" : "fader " + view.fader;
  const SeenText left =
      lay_seen(theme, fader, 0.55F * line.width(), line.height(), kPreferredArcMin);
  draw_seen(left, line.left, line.middle_y() - 0.5F * left.height(), colour::kText);
  if (!fader.empty()) {
    context.seen.note(Acted::kFader, *left.font);
  }
  if (!view.lit) {
    return;
  }
  const RingWords words = ring_words(view.lit->ring);
  const std::string state =
      words.growth.empty() ? std::string(detector::to_word(words.state)) : words.growth;
  const SeenText right = lay_seen(theme, state, 0.4F * line.width(), line.height(), kLeastArcMin);
  const ImU32 paint = state_colour(words.state);
  draw_seen(right, line.right, line.middle_y() - 0.5F * right.height(), paint, Align::kRight);
  draw_state_mark(
      line.right - right.width() - theme.px(30.0F), line.middle_y(), theme.px(14.0F), words.state);
}

}  // namespace

void draw_from_afar(const Rect& area, const AfarView& view, Context& context) {
  const Theme& theme = context.theme;
  const bool hides = context.view.hides_answers;
  Rect rest = area;
  const Rect foot = rest.take_bottom(theme.px(22.0F));
  draw_text(theme.small, foot.right, foot.top, colour::kQuiet, "9 or Esc goes back", Align::kRight);
  draw_instruction(rest, view.instruction, context, kAfarShare, kFirstArcMin);
  draw_card(rest, theme, view.lit ? colour::kCardLit : colour::kCard);
  if (view.lit) {
    canvas().AddRectFilled(ImVec2(rest.left, rest.top),
                           ImVec2(rest.left + theme.px(10.0F), rest.bottom),
                           state_colour(ring_words(view.lit->ring).state),
                           theme.px(3.0F));
  }
  rest = rest.inset(theme.px(kEdge));
  draw_lower(rest, view, context);
  if (!view.lit) {
    const SeenText quiet =
        lay_seen(theme, view.quiet, rest.width(), rest.height(), kPreferredArcMin);
    draw_seen(quiet, rest.left, rest.top, colour::kQuiet);
    return;
  }
  draw_upper(rest,
             shown_frequency(view.lit->ring, hides),
             kFrequencyShare * rest.height(),
             kLargestArcMin,
             Acted::kFrequency,
             context);
  if (!hides) {
    draw_upper(rest, view.lit->cut, rest.height(), kFirstArcMin, Acted::kCut, context);
  }
}

}  // namespace brink::panel
