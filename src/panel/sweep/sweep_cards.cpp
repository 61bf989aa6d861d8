#include "panel/sweep/sweep_cards.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "cuts/audibility.h"
#include "panel/draw/draw.h"
#include "panel/draw/key_row.h"
#include "panel/draw/words.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

using State = desk::SweepWork::State;

constexpr std::size_t kShownRings = 5;
constexpr std::size_t kFewRings = 3;  // where the list is low
constexpr float kLowList = 320.0F;

std::string known_ms(const std::optional<double>& delay_s) {
  return delay_s ? fmt::format("{:.1f} ms", 1000.0 * *delay_s) : "not known";
}

std::string known_gain(const desk::SweepWork& work) {
  const auto gain_db = work.known().console_gain_db;
  return !gain_db ? "not known" : fmt::format("{:+.1f} dB", *gain_db);
}

/// Never "-0.0".
double tenths(double value) {
  return std::round(10.0 * value) / 10.0 + 0.0;
}

void draw_progress(Rect& area, const desk::SweepWork& work, const Theme& theme) {
  const Rect bar = area.take_top(theme.px(12.0F));
  const float end = bar.left + bar.width() * static_cast<float>(work.progress());
  const float top = bar.top + theme.px(2.0F);
  const float bottom = top + theme.px(6.0F);
  canvas().AddRectFilled(
      ImVec2(bar.left, top), ImVec2(bar.right, bottom), colour::kGrid, theme.px(3.0F));
  canvas().AddRectFilled(
      ImVec2(bar.left, top), ImVec2(end, bottom), colour::kVermilion, theme.px(3.0F));
}

void draw_fact(Rect& area, const char* label, const std::string& value, const Theme& theme) {
  const Rect row = area.take_top(theme.px(22.0F));
  draw_text(theme.body, row.left, row.top, colour::kQuiet, label);
  draw_text(theme.body, row.right, row.top, colour::kText, value, Align::kRight);
}

void draw_words(Rect& area, ImFont* font, ImU32 paint, const std::string& words, float after) {
  area.take_top(draw_wrapped(font, area.left, area.top, area.width(), paint, words) + after);
}

void draw_ring_list(Rect& area, const report::LoopForecast& forecast, const Theme& theme) {
  const std::size_t most = area.height() < theme.px(kLowList) ? kFewRings : kShownRings;
  for (std::size_t k = 0; k < std::min(forecast.rings.size(), most); ++k) {
    const report::ForeseenRing& ring = forecast.rings[k];
    ImFont* const font = k == 0 ? theme.title : theme.strong;
    const Rect row = area.take_top(font->FontSize + theme.px(5.0F));
    draw_text(theme.small, row.left, row.top, colour::kVermilion, fmt::format("{}", k + 1));
    draw_text(font,
              row.left + theme.px(22.0F),
              row.top,
              colour::kText,
              ring.frequency_hz < 1000.0 ? fmt::format("{:.0f} Hz", ring.frequency_hz)
                                         : fmt::format("{:.2f} kHz", ring.frequency_hz / 1000.0));
    draw_text(font,
              row.right,
              row.top,
              colour::kText,
              fmt::format("{:+.1f} dB", tenths(ring.until_db)),
              Align::kRight);
  }
}

std::string won_words(const report::SweepReport& report) {
  const cuts::Plan& plan = report.plan.plan;
  if (plan.moves.empty()) {
    return kNoCutHelps;
  }
  const std::string won =
      report.is_delay_known
          ? fmt::format("wins {:.1f} dB", plan.won_db)
          : fmt::format("wins {:.1f} to {:.1f} dB", report.won_least_db, report.won_most_db);
  return fmt::format("{}, costs {:.1f} dB of level", won, plan.lost_db);
}

const char* sound_words(cuts::Sound sound) {
  switch (sound) {
    case cuts::Sound::kInaudible:
      return "inaudible";
    case cuts::Sound::kMostGain:
      return "most gain";
    case cuts::Sound::kBalanced:
      break;
  }
  return "balanced";
}

void draw_plan(Rect& area, const report::SweepReport& report, const Theme& theme) {
  const cuts::Plan& plan = report.plan.plan;
  draw_words(
      area,
      theme.strong,
      colour::kText,
      fmt::format(
          "{}, {}: {}", report.plan.target.name, sound_words(report.plan.sound), won_words(report)),
      theme.px(4.0F));
  if (plan.moves.empty()) {
    return;
  }
  const std::vector<cuts::Band> cuts = cuts::to_bands(plan.setting());
  const float half = 0.5F * area.width();
  for (std::size_t k = 0; k < cuts.size(); k += 2) {
    const Rect row = area.take_top(theme.px(21.0F));
    for (std::size_t i = k; i < std::min(k + 2, cuts.size()); ++i) {
      draw_text(theme.body,
                row.left + static_cast<float>(i - k) * half,
                row.top,
                colour::kGreen,
                show::cut_words(cuts[i], report.plan.target.kind));
    }
  }
  area.take_top(theme.px(3.0F));
  draw_words(
      area, theme.small, colour::kQuiet, show::audible_words(plan.setting()), theme.px(4.0F));
}

}  // namespace

std::string sweep_state_words(const desk::SweepWork& work) {
  switch (work.state()) {
    case State::kUnsaid:
      return "C says that the microphone's way is shut";
    case State::kReady:
      return fmt::format("Hold Space for {:.0f} s", work.length_s());
    case State::kOpening:
      return "Opening the devices";
    case State::kPlaying:
      return "Playing: keep holding";
    case State::kMeasuring:
      return "Measuring; Space may be let go";
  }
  return "";
}

bool draw_sweep_card(Rect& area,
                     const desk::SweepWork& work,
                     const Actions& actions,
                     const Theme& theme) {
  const float edge = theme.px(12.0F);
  const Rect card = area.take_top(theme.px(168.0F));
  draw_card(card, theme, colour::kCard);
  Rect rest = card.inset(edge);
  const bool is_playing = work.state() == State::kPlaying;
  const Rect head = rest.take_top(theme.px(30.0F));
  draw_text(theme.strong,
            head.left,
            head.top,
            is_playing ? colour::kVermilion : colour::kText,
            sweep_state_words(work));
  draw_progress(rest, work, theme);
  const bool is_asked = draw_key_row(rest,
                                     actions,
                                     'C',
                                     "Microphone's own path to the loudspeaker",
                                     work.is_shut() ? "closed" : "not said",
                                     theme);
  rest.take_top(theme.px(4.0F));
  draw_fact(
      rest,
      "Peak (L louder, Q quieter)",
      fmt::format("{:.0f} dBFS, at most {:.0f}", work.level_dbfs(), work.settings().ceiling_dbfs),
      theme);
  draw_fact(rest, "The console's delay", known_ms(work.known().console_delay_s), theme);
  draw_fact(rest,
            work.is_on_stage() ? "The console's gain: the stage's fader" : "The console's gain",
            known_gain(work),
            theme);
  return is_asked;
}

void draw_sweep_cautions(const Rect& area, const desk::SweepWork& work, const Theme& theme) {
  const Clip clip(area);
  Rect rest = area;
  rest.take_top(theme.px(10.0F));
  draw_words(rest, theme.strong, colour::kOrange, "Before it plays", theme.px(6.0F));
  draw_words(rest,
             theme.body,
             colour::kText,
             work.is_on_stage()
                 ? "This is the simulated stage: nothing sounds. On a real one, mute the send from "
                   "the microphone to this output, so that nothing comes back, and say so with C."
                 : "Mute the send from the microphone to this output, so that nothing comes back, "
                   "and say so with C. brink stops when it hears a ring; a loop that is far from "
                   "ringing can pass unseen.",
             theme.px(8.0F));
  draw_words(
      rest,
      theme.body,
      colour::kText,
      "A sweep can hurt ears and destroy drivers. Clear the stage, protect your ears, keep a "
      "hand on the amplifier's level. It plays while Space is held, and is silent within "
      "20 ms when Space is let go.",
      theme.px(8.0F));
  draw_words(rest,
             theme.body,
             colour::kQuiet,
             "NIOSH: 85 dBA for 8 hours a day, half as long for every 3 dB more (E). Local rules "
             "and qualified people come first.",
             theme.px(8.0F));
  draw_words(rest,
             theme.body,
             colour::kQuiet,
             "What the sweep cannot see: gain and delay of the console. D tells them; without them "
             "brink gives bounds.",
             0.0F);
}

void draw_sweep_forecast(const Rect& area, const desk::SweepWork& work, const Theme& theme) {
  const Clip clip(area);
  const report::SweepReport& report = *work.report();
  const report::LoopForecast& forecast = report.forecast;
  Rect rest = area;
  rest.take_top(theme.px(8.0F));
  if (forecast.rings.empty()) {
    draw_words(rest, theme.strong, colour::kSky, "Nothing of this loop can ring.", 0.0F);
    return;
  }
  draw_words(rest,
             theme.strong,
             colour::kText,
             report.is_delay_known ? "Equaliser flat: rings first, dB until then"
                                   : "Equaliser flat: can ring, dB until then",
             theme.px(4.0F));
  draw_ring_list(rest, forecast, theme);
  std::string unknown;
  if (!report.known.console_gain_db) {
    unknown += "dB of gain from the microphone's tap to this output: its gain now is not known. ";
  }
  if (!report.is_delay_known) {
    unknown += fmt::format(
        "The loop's delay is not known (D): something rings between {:+.1f} and {:+.1f} dB, and "
        "which is first depends on it.",
        forecast.soonest_db,
        forecast.latest_db);
  }
  if (!unknown.empty()) {
    draw_words(rest, theme.small, colour::kOrange, unknown, theme.px(2.0F));
  }
  rest.take_top(theme.px(6.0F));
  draw_plan(rest, report, theme);
}

}  // namespace brink::panel
