// The head of the window: the pane's heading, what is listened to or what is wrong, level, and
// time.

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "base/printable.h"
#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/level_meter.h"
#include "panel/draw/words.h"
#include "panel/live/shown_tap.h"
#include "panel/panel.h"

namespace brink::panel {
namespace {

constexpr float kBar = 210.0F;
constexpr float kLeastBar = 90.0F;
constexpr float kWordsWidth = 620.0F;  // heading and what stands beside it, before the bar gives
constexpr float kLeastHeading = 140.0F;
constexpr float kSourceShare = 0.35F;
constexpr float kClockWidth = 86.0F;

}  // namespace

std::optional<Panel::HeadLine> Panel::announcement() const {
  const int tap = shown_tap(desk_.snapshot(), view_).tap;
  if (shows_rings() && tap == 0) {
    return std::nullopt;  // all channels are shown
  }
  const auto shown = shows_rings() ? std::optional(tap) : std::nullopt;
  const show::LiveRing* const live = loudest_ringing(show_.flow().rings(), desk_.stream_s(), shown);
  if (live == nullptr) {
    return std::nullopt;
  }
  const detector::Ring ring = live->now();
  const std::string what =
      view_.hides_answers ? "a ring" : base::frequency_label(ring.frequency_hz);
  const std::string channel =
      desk_.snapshot().taps.size() > 1 ? fmt::format("channel {}, ", live->tap) : std::string();
  const char* const how = shows_rings() ? "J shows it" : is_live() ? "Esc shows it" : "1 shows it";
  return HeadLine{ring_words(ring).is_urgent ? "Down now: " + what
                  : view_.hides_answers      ? std::string("It rings")
                                             : what + " rings",
                  fmt::format("{}{:.0f} dBFS, {}", channel, ring.level_dbfs, how),
                  colour::kVermilion,
                  true};
}

/// What must not be missed: it has its place in the head before the pane's heading has.
std::optional<Panel::HeadLine> Panel::warning() const {
  const io::InputHealth health = desk_.snapshot().health;
  if (health != io::InputHealth::kRunning) {
    return HeadLine{health == io::InputHealth::kFrozen
                        ? "The input is frozen; brink goes on when sound comes."
                        : "The input is gone; brink goes on as soon as it is back.",
                    {},
                    colour::kVermilion};
  }
  if (auto ring = announcement()) {
    return ring;
  }
  if (desk_.is_opening()) {
    return HeadLine{"Opening the input ...", {}, colour::kQuiet};
  }
  if (desk_.trouble()) {
    return HeadLine{*desk_.trouble(), {}, colour::kOrange};
  }
  return std::nullopt;
}

/// What is listened to, as much of it as fits. Where the pane is about something else it says so.
std::string Panel::source_line(const Theme& theme, float width) {
  const char* const before = is_live() ? "" : "listening: ";
  const std::string name = before + base::printable(desk_.session().source_name());
  const int tap = shown_tap(desk_.snapshot(), view_).tap;
  const std::string channel = tap == 0
                                  ? fmt::format("all {} channels", desk_.session().taps().size())
                                  : fmt::format("channel {}", tap);
  const std::string all =
      fmt::format("{}, {}, {:g} kHz", name, channel, desk_.session().sample_rate_hz() / 1000.0);
  return shortened(theme.body, text_width(theme.body, all) > width ? name : all, width);
}

/// A ring stands in letters that are read from afar, on a ground of its own.
void Panel::draw_head_line(Rect rest, const HeadLine& line, const Theme& theme) {
  const float y = rest.middle_y() - 0.5F * theme.body->FontSize;
  if (!line.is_ring) {
    draw_text(
        theme.body, rest.left, y, line.paint, shortened(theme.body, line.words, rest.width()));
    return;
  }
  const Rect card = rest.inset(theme.px(3.0F));
  draw_card(card, theme, line.paint);
  rest = card.inset(theme.px(10.0F));
  const SeenText text =
      lay_seen(theme, line.words, rest.width(), 1.1F * card.height(), kLeastArcMin);
  draw_seen(
      text, rest.left, rest.middle_y() - theme.px(3.0F) - 0.5F * text.height(), colour::kGround);
  seen_.note(Acted::kAnnouncement, *text.font);
  rest.take_left(text.width() + theme.px(14.0F));
  if (text_width(theme.strong, line.rest) <= rest.width()) {
    draw_text(theme.strong, rest.left, y, colour::kGround, line.rest);
  }
}

void Panel::draw_head(const Rect& area, const Theme& theme) {
  Rect rest = area;
  const float y = area.middle_y() - 0.5F * theme.body->FontSize;
  const listen::Snapshot& snapshot = desk_.snapshot();
  const float apart = 0.6F * theme.body->FontSize;
  draw_text(theme.body,
            rest.right,
            y - apart,
            colour::kQuiet,
            clock_words(desk_.stream_s()),
            Align::kRight);
  const bool is_late = snapshot.late_s >= listen::kLateS;
  draw_text(theme.body,
            rest.right,
            y + apart,
            is_late || snapshot.lost_samples > 0 ? colour::kOrange : colour::kQuiet,
            is_late ? fmt::format("{:.1f} s late", snapshot.late_s)
                    : fmt::format("{} lost", snapshot.lost_samples),
            Align::kRight);
  rest.take_right(theme.px(kClockWidth));
  const float words = level_words_width(theme) + theme.px(14.0F);
  const float bar =
      std::clamp(rest.width() - words - theme.px(kWordsWidth), theme.px(kLeastBar), theme.px(kBar));
  const bool is_ringing =
      loudest_ringing(show_.flow().rings(), desk_.stream_s(), std::nullopt) != nullptr;
  draw_level_meter(rest.take_right(bar + words),
                   shown_tap(snapshot, view_),
                   snapshot.health,
                   is_ringing,
                   seen_,
                   theme);
  rest.take_right(theme.px(16.0F));
  const auto urgent = warning();
  const float gap = theme.px(24.0F);
  if (urgent && urgent->is_ring) {  // it needs the heading's place; the foot shows the pane
    draw_head_line(rest, *urgent, theme);
    return;
  }
  const float wanted = urgent ? text_width(theme.body, urgent->words) : kSourceShare * rest.width();
  const float heading_width = std::max(rest.width() - wanted - gap, theme.px(kLeastHeading));
  const float heading = draw_text(theme.title,
                                  rest.left,
                                  area.middle_y() - 0.5F * theme.title->FontSize,
                                  colour::kText,
                                  shortened(theme.title, pane().heading(), heading_width));
  rest.take_left(heading + gap);
  draw_head_line(
      rest,
      urgent ? *urgent : HeadLine{source_line(theme, rest.width()), {}, colour::kQuiet, false},
      theme);
}

}  // namespace brink::panel
