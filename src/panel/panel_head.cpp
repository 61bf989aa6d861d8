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

constexpr float kMeter = 360.0F;
constexpr float kLeastMeter = 210.0F;
constexpr float kWordsWidth = 540.0F;  // heading and what stands beside it, before the meter gives
constexpr float kLeastHeading = 140.0F;
constexpr float kSourceShare = 0.35F;

}  // namespace

/// Empty when nothing rings but what is shown.
std::string Panel::announcement() const {
  const show::LiveRing* const live = ring_elsewhere(
      show_.flow().rings(), desk_.stream_s(), shown_tap(desk_.snapshot(), view_).tap);
  if (live == nullptr) {
    return {};
  }
  return view_.hides_answers ? fmt::format("Channel {} rings; J shows it.", live->tap)
                             : fmt::format("Channel {} rings at {}; J shows it.",
                                           live->tap,
                                           base::frequency_label(live->ring.frequency_hz));
}

/// What must not be missed: it has its place in the head before the pane's heading has.
std::optional<Panel::HeadLine> Panel::warning() const {
  const io::InputHealth health = desk_.snapshot().health;
  if (health != io::InputHealth::kRunning) {
    return HeadLine{health == io::InputHealth::kFrozen
                        ? "The input is frozen; brink goes on when sound comes."
                        : "The input is gone; brink goes on as soon as it is back.",
                    colour::kVermilion};
  }
  if (desk_.is_opening()) {
    return HeadLine{"Opening the input ...", colour::kQuiet};
  }
  if (desk_.trouble()) {
    return HeadLine{*desk_.trouble(), colour::kOrange};
  }
  if (const std::string elsewhere = announcement(); !elsewhere.empty()) {
    return HeadLine{elsewhere, colour::kVermilion};
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

void Panel::draw_head(const Rect& area, const Theme& theme) {
  Rect rest = area;
  const float y = area.middle_y() - 0.5F * theme.body->FontSize;
  const listen::Snapshot& snapshot = desk_.snapshot();
  const std::string clock = clock_words(desk_.stream_s());
  draw_text(theme.body, rest.right, y, colour::kQuiet, clock, Align::kRight);
  rest.take_right(theme.px(90.0F));
  const bool has_lost = snapshot.lost_samples > 0;
  draw_text(theme.body,
            rest.right,
            y,
            has_lost ? colour::kOrange : colour::kQuiet,
            fmt::format("{} lost", snapshot.lost_samples),
            Align::kRight);
  rest.take_right(theme.px(90.0F));
  const float meter =
      std::clamp(rest.width() - theme.px(kWordsWidth), theme.px(kLeastMeter), theme.px(kMeter));
  draw_level_meter(rest.take_right(meter), shown_tap(snapshot, view_), snapshot.health, theme);
  rest.take_right(theme.px(16.0F));
  const auto urgent = warning();
  const float gap = theme.px(24.0F);
  const float wanted = urgent ? text_width(theme.body, urgent->words) : kSourceShare * rest.width();
  const float heading_width = std::max(rest.width() - wanted - gap, theme.px(kLeastHeading));
  const float heading = draw_text(theme.title,
                                  rest.left,
                                  area.middle_y() - 0.5F * theme.title->FontSize,
                                  colour::kText,
                                  shortened(theme.title, pane().heading(), heading_width));
  rest.take_left(heading + gap);
  const std::string words = urgent ? shortened(theme.body, urgent->words, rest.width())
                                   : source_line(theme, rest.width());
  draw_text(theme.body, rest.left, y, urgent ? urgent->paint : colour::kQuiet, words);
}

}  // namespace brink::panel
