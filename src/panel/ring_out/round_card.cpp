#include "panel/ring_out/round_card.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/printable.h"
#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/seen.h"
#include "panel/draw/words.h"
#include "panel/live/shown_tap.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

using show::Advice;
using show::Phase;
using show::RoundCheck;

constexpr float kHeight = 344.0F;
constexpr float kLeastHeight = 230.0F;  // no room for rounds
constexpr float kRoundHeight = 23.0F;
constexpr float kWasHeight = 14.0F;
constexpr float kAnswerHeight = 36.0F;  // two small lines

ImU32 check_colour(const show::RoundView& round) {
  switch (round.check) {
    case RoundCheck::kSounding:
      return colour::kVermilion;
    case RoundCheck::kFaded:
    case RoundCheck::kReturned:
      return colour::kSky;
    default:
      return colour::kQuiet;
  }
}

std::string round_heading(const show::RingOut& flow) {
  const Phase phase = flow.phase();
  const int done = show::round_count(*flow.output());
  if (phase == Phase::kDone) {
    return fmt::format("Done in {} round{}", done, done == 1 ? "" : "s");
  }
  return fmt::format("Round {}", std::max(1, phase == Phase::kCheck ? done : done + 1));
}

std::string band_words(const show::RingOut& flow) {
  const cuts::Target& target = flow.target();
  if (target.kind == cuts::Target::Kind::kGraphic) {
    return base::printable(target.name);
  }
  const int left = flow.bands_left();
  return fmt::format(
      "{}, {} band{} left", base::printable(target.name), left, left == 1 ? "" : "s");
}

std::string place_words(const show::OutputRecord& output) {
  const bool has_both = !output.microphone.empty() && !output.position.empty();
  return base::printable(output.microphone + (has_both ? ", " : "") + output.position);
}

void draw_head(Rect& rest, const show::RingOut& flow, const Theme& theme) {
  const Rect head = rest.take_top(theme.px(27.0F));
  const float heading =
      draw_text(theme.title, head.left, head.top, colour::kText, round_heading(flow));
  draw_text(theme.body,
            head.right,
            head.top + theme.px(5.0F),
            colour::kQuiet,
            shortened(theme.body, band_words(flow), head.width() - heading - theme.px(16.0F)),
            Align::kRight);
  if (const std::string place = place_words(*flow.output()); !place.empty()) {
    const Rect line = rest.take_top(theme.px(20.0F));
    draw_text(theme.small,
              line.left,
              line.top,
              colour::kQuiet,
              shortened(theme.small, place, line.width()));
  }
  rest.take_top(theme.px(3.0F));
}

void draw_fader_line(Rect& rest, const show::RingOut& flow, Context& context) {
  const Theme& theme = context.theme;
  const Rect line = rest.take_top(theme.px(54.0F));
  const float y = line.middle_y() - 0.5F * theme.body->FontSize;
  const float width = draw_text(theme.body, line.left, y, colour::kQuiet, "fader");
  auto fader_db = flow.fader_db();
  if (!fader_db && context.desk.is_stage()) {
    fader_db = context.desk.fader_db();
  }
  const std::string words = fader_db ? fader_words(*fader_db) : "not told";
  const SeenText fader =
      lay_seen(theme, words, 0.6F * line.width(), 1.1F * line.height(), kLeastArcMin);
  draw_seen(fader,
            line.left + width + theme.px(12.0F),
            line.middle_y() - 0.5F * fader.height(),
            fader_db ? colour::kText : colour::kQuiet);
  context.seen.note(Acted::kFader, *fader.font);
  if (const auto won = show::gain_won_db(*flow.output())) {
    draw_text(theme.strong,
              line.right,
              y,
              colour::kText,
              fmt::format("won so far {:.1f} dB", *won),
              Align::kRight);
  }
}

/// A round's cut as it stands now; below it, when a later round changed it, what it was.
struct RoundWords {
  std::string now;
  std::string was;
};

RoundWords round_words(const show::RoundRecord& round, const show::RingOut& flow, bool hides) {
  if (hides || !round.cut) {
    return {hides ? "hidden" : base::frequency_label(round.ring.frequency_hz), ""};
  }
  const cuts::Target::Kind kind = flow.target().kind;
  const std::string logged = show::cut_words(*round.cut, kind);
  const auto now = show::standing_cut(*round.cut, flow.output()->cuts);
  if (now == round.cut) {
    return {logged, ""};
  }
  return {now ? show::cut_words(*now, kind) : "no cut there now", "was " + logged};
}

float round_height(const RoundWords& words, const Theme& theme) {
  return theme.px(words.was.empty() ? kRoundHeight : kRoundHeight + kWasHeight);
}

/// The newest that fit, and how many there are before them.
void draw_rounds(const Rect& area, const show::RingOut& flow, const Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  const auto rounds = flow.rounds();
  std::vector<RoundWords> words;
  float height = 0.0F;
  for (const show::RoundView& round : rounds) {
    words.push_back(round_words(*round.round, flow, context.view.hides_answers));
    height += round_height(words.back(), theme);
  }
  std::size_t first = 0;
  const float before = theme.px(kRoundHeight);  // of the line that counts those before
  while (first < rounds.size() && height + (first > 0 ? before : 0.0F) > area.height()) {
    height -= round_height(words[first++], theme);
  }
  if (first > 0 && before <= area.height()) {
    const Rect row = rest.take_top(theme.px(kRoundHeight));
    draw_text(theme.body,
              row.left,
              row.top,
              colour::kQuiet,
              fmt::format("{} before, all in the book (6)", first));
  }
  for (std::size_t i = first; i < rounds.size(); ++i) {
    const Rect row = rest.take_top(round_height(words[i], theme));
    draw_text(theme.strong, row.left, row.top, colour::kQuiet, fmt::format("{}", i + 1));
    draw_text(theme.body, row.left + theme.px(24.0F), row.top, colour::kText, words[i].now);
    draw_text(theme.small,
              row.left + theme.px(24.0F),
              row.top + theme.px(kRoundHeight - 4.0F),
              colour::kQuiet,
              words[i].was);
    draw_text(theme.body,
              row.right,
              row.top,
              check_colour(rounds[i]),
              check_words(rounds[i]),
              Align::kRight);
  }
}

ImU32 advice_colour(Advice::Kind kind) {
  return kind == Advice::Kind::kStop      ? colour::kVermilion
         : kind == Advice::Kind::kMayStop ? colour::kOrange
                                          : colour::kQuiet;
}

/// Whether all is on the disk, or why not; and the stage's own truth.
void draw_foot(Rect& rest, const desk::ShowKeeper& keeper, const Context& context) {
  const Theme& theme = context.theme;
  const auto trouble = context.book.trouble();
  const Rect line = rest.take_bottom(theme.px(trouble ? 34.0F : 20.0F));
  if (trouble) {
    draw_wrapped(
        theme.small, line.left, line.top, line.width(), colour::kOrange, base::printable(*trouble));
    return;
  }
  if (keeper.flow().revision() > 0 || keeper.was_found()) {
    draw_text(theme.body,
              line.left,
              line.top,
              keeper.is_logged() ? colour::kText : colour::kOrange,
              keeper.is_logged() ? "logged" : "writing ...");
  }
  if (context.desk.is_stage()) {
    const auto won = context.desk.true_gain_won_db();
    draw_text(theme.body,
              line.right,
              line.top,
              colour::kQuiet,
              won ? fmt::format("simulated: true stable gain won {:+.1f} dB", *won)
                  : "simulated: true gain is being calculated",
              Align::kRight);
  }
}

/// The advice. When every output is ended: what the last check said, or what it still needs. A ring
/// that is caught goes first.
void draw_advice(Rect& rest, const show::RingOut& flow, const Context& context) {
  const Theme& theme = context.theme;
  const bool is_over = flow.are_all_done() && flow.phase() == Phase::kDone;
  const bool is_checked = is_over && flow.record().check;
  const std::string obstacle = is_over && !is_checked ? flow.check_obstacle() : "";
  const Advice advice = flow.advice();
  const bool hides = is_checked && context.view.hides_answers;
  const bool is_muted = advice.kind == Advice::Kind::kGoOn &&  // not while nothing is heard
                        !deaf_words(context.desk.snapshot(), context.view).empty();
  const std::string words = hides ? "The last check is logged."
                            : is_checked
                                ? "Last check, all open: " + show::check_words(*flow.record().check)
                            : is_over  ? (obstacle.empty() ? "L logs the last check." : obstacle)
                            : is_muted ? ""
                                       : advice.reason;
  const Rect place = rest.take_bottom(theme.px(46.0F));
  canvas().AddLine(
      ImVec2(place.left, place.top), ImVec2(place.right, place.top), colour::kGrid, theme.px(1.0F));
  draw_wrapped(theme.body,
               place.left,
               place.top + theme.px(6.0F),
               place.width(),
               is_over ? colour::kText : advice_colour(advice.kind),
               words);
}

/// Before there is an output: what is known of the show.
void draw_show_head(Rect& rest, const show::RingOut& flow, const Theme& theme) {
  const show::ShowRecord& record = flow.record();
  const Rect head = rest.take_top(theme.px(30.0F));
  const std::string venue = record.venue.empty() ? "A new show" : base::printable(record.venue);
  draw_text(
      theme.title, head.left, head.top, colour::kText, shortened(theme.title, venue, head.width()));
  draw_text(theme.body,
            rest.left,
            rest.top,
            colour::kQuiet,
            shortened(theme.body, base::printable(record.name), rest.width()));
}

std::optional<char> draw_keys(const Rect& area, bool are_blocked, const Theme& theme) {
  static constexpr std::array<std::pair<char, const char*>, 4> kItems{
      {{'N', "next"}, {'O', "outputs"}, {'V', "venue, show"}, {'M', "note"}}};
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  std::optional<char> clicked;
  float x = area.left;
  const float y = area.bottom - theme.body->FontSize;
  for (const auto& [key, label] : kItems) {
    const float start = x;
    x += draw_text(theme.strong,
                   x,
                   y,
                   are_blocked ? colour::kQuiet : colour::kYellow,
                   std::string(1, key)) +
         theme.px(6.0F);
    x += draw_text(theme.body, x, y, are_blocked ? colour::kQuiet : colour::kText, label);
    const Rect button{start, area.top, x, area.bottom};
    if (!are_blocked && button.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0)) {
      clicked = key;
    }
    x += theme.px(20.0F);
  }
  return clicked;
}

}  // namespace

float round_card_height(float available, float above, const Theme& theme) noexcept {
  return std::clamp(available - above, theme.px(kLeastHeight), theme.px(kHeight));
}

std::string check_words(const show::RoundView& round) {
  switch (round.check) {
    case RoundCheck::kToCut:
      return "cut taken out";
    case RoundCheck::kSounding:
      return "still sounds";
    case RoundCheck::kFaded:
      return "faded";
    case RoundCheck::kOpen:
      return "to be checked";
    case RoundCheck::kReturned:
      return came_back_words(round.won_db);
  }
  return "";
}

std::optional<char> draw_round_card(const Rect& area,
                                    const desk::ShowKeeper& keeper,
                                    const std::string& answer,
                                    bool are_keys_blocked,
                                    Context& context) {
  const Theme& theme = context.theme;
  const show::RingOut& flow = keeper.flow();
  draw_card(area, theme);
  Rect rest = area.inset(theme.px(14.0F));
  const bool has_output = flow.output() != nullptr;
  if (has_output) {
    draw_head(rest, flow, theme);
    draw_fader_line(rest, flow, context);
  } else {
    draw_show_head(rest, flow, theme);
  }
  const auto clicked = draw_keys(rest.take_bottom(theme.px(26.0F)), are_keys_blocked, theme);
  draw_foot(rest, keeper, context);
  if (!answer.empty()) {
    const Rect line = rest.take_bottom(theme.px(kAnswerHeight));
    draw_wrapped(theme.small, line.left, line.top, line.width(), colour::kText, answer);
  }
  rest.take_bottom(theme.px(4.0F));
  if (has_output) {
    draw_advice(rest, flow, context);
    draw_rounds(rest, flow, context);
  }
  return clicked;
}

}  // namespace brink::panel
