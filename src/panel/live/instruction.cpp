#include "panel/live/instruction.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/units.h"
#include "panel/draw/seen.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr float kGap = 8.0F;
constexpr const char* kDownNow = "Down now, then make the cut.";

}  // namespace

std::string catch_words(const detector::Ring& ring) {
  constexpr double kSlowDbPerS = 6.0;
  const RingWords words = ring_words(ring);
  if (detector::is_over(words.state)) {
    return "It is over: log a cut, or let it go.";
  }
  if (words.state == detector::RingState::kFading) {
    return "It fades: log its cut, then raise again.";
  }
  return words.is_urgent                      ? kDownNow
         : ring.growth_db_per_s > kSlowDbPerS ? "Pull the fader down, then make the cut."
                                              : "Pull the fader down a little, then cut.";
}

std::string instruction_words(const show::RingOut& flow,
                              const std::string& deaf,
                              const std::optional<detector::Ring>& lit) {
  if (!deaf.empty()) {
    return fmt::format("Pull the fader down: {}.", deaf);
  }
  const bool is_to_cut =
      flow.phase() == show::Phase::kCatch && lit && flow.advice().kind != show::Advice::Kind::kStop;
  return is_to_cut ? catch_words(*lit) : flow.instruction();
}

std::string listen_words(const std::string& deaf,
                         const std::optional<detector::Ring>& lit,
                         bool can_cut,
                         bool has_fader) {
  if (!deaf.empty()) {
    return fmt::format("Pull the fader down: {}.", deaf);
  }
  const detector::RingState state = lit ? ring_words(*lit).state : detector::RingState::kGone;
  if (detector::is_over(state)) {
    return has_fader ? "Raise the fader, one step at a time." : "Nothing rings. 2 rings it out.";
  }
  if (lit->flagged_sample == detector::kNever) {
    return "Something grows: hand on the fader.";
  }
  if (state == detector::RingState::kFading) {
    return can_cut ? "It fades. Make its cut, then raise again."
                   : "It fades. Raise again in small steps.";
  }
  return catch_words(*lit);
}

Instruction with_urgent(std::string words,
                        const std::string& deaf,
                        std::span<const detector::Ring> rings,
                        bool hides_answers) {
  const auto urgent = std::find_if(rings.begin(), rings.end(), [](const detector::Ring& ring) {
    return ring_words(ring).is_urgent;
  });
  if (!deaf.empty() || urgent == rings.end()) {
    return {std::move(words), false, !deaf.empty()};
  }
  if (words == kDownNow) {
    return {std::move(words), true, false};
  }
  return {hides_answers ? "Down now: a ring."
                        : fmt::format("Down now: {}.", base::frequency_label(urgent->frequency_hz)),
          true,
          false};
}

void draw_instruction(Rect& area,
                      const Instruction& instruction,
                      Context& context,
                      float most_share,
                      double most_arc_min) {
  const Theme& theme = context.theme;
  const float left = theme.px(16.0F);
  const SeenText text = lay_seen(theme,
                                 instruction.words,
                                 area.width() - 2.0F * left,
                                 most_share * area.height(),
                                 most_arc_min);
  // As high for every sentence, so that what stands below does not jump.
  const float one_line = lay_seen(theme, "H", area.width(), area.height(), most_arc_min).height();
  const float height = std::max(text.height(), std::min(one_line, most_share * area.height()));
  const Rect card = area.take_top(height + theme.px(12.0F));
  area.take_top(theme.px(kGap));
  draw_card(card, theme, instruction.is_urgent ? colour::kVermilion : colour::kCardLit);
  draw_seen(text,
            card.left + left,
            card.middle_y() - 0.5F * text.height(),
            instruction.is_urgent    ? colour::kGround
            : instruction.is_warning ? colour::kVermilion
                                     : colour::kText);
  context.seen.note(Acted::kInstruction, *text.font);
}

}  // namespace brink::panel
