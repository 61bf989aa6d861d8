#include "panel/ear/ear_ruler.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "base/units.h"
#include "ear/ruler.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr int kLowestBand = -13;  // 50 Hz
constexpr int kHighestBand = 12;  // 16 kHz
constexpr float kGapHeight = 14.0F;
constexpr float kLabelHeight = 30.0F;
constexpr float kNamesHeight = 20.0F;
constexpr float kLowHeight = 230.0F;  // below that, answers are named by the words alone
constexpr double kCloseUpOctaves = 1.0;

std::string name_of(double frequency_hz, bool by_note) {
  return by_note ? base::note_name(frequency_hz) : base::frequency_label(frequency_hz);
}

/// A word above or below a mark, moved so that it is never cut off.
void draw_label(
    ImFont* font, float x, float y, const Rect& within, ImU32 paint, const std::string& text) {
  const float half = 0.5F * text_width(font, text);
  const float middle =
      std::clamp(x, within.left + half, std::max(within.left + half, within.right - half));
  draw_text(font, middle, y, paint, text, Align::kMiddle);
}

void draw_line(float x, float top, float bottom, ImU32 paint, float width) {
  canvas().AddLine(ImVec2(x, top), ImVec2(x, bottom), paint, width);
}

/// The guess: a line under a triangle that points at it.
void draw_guess(float x, const Rect& plot, ImU32 paint, const Theme& theme) {
  const float wide = theme.px(9.0F);
  draw_line(x, plot.top, plot.bottom, paint, theme.px(2.5F));
  canvas().AddTriangleFilled(ImVec2(x - wide, plot.top - wide),
                             ImVec2(x + wide, plot.top - wide),
                             ImVec2(x, plot.top + theme.px(4.0F)),
                             paint);
}

/// What it was: a full circle, as a ring has everywhere; a bar from there to the guess.
void draw_answer(float true_x, float guessed_x, const Rect& plot, const Theme& theme) {
  const float y = plot.middle_y();
  canvas().AddLine(ImVec2(true_x, y), ImVec2(guessed_x, y), colour::kVermilion, theme.px(3.0F));
  draw_line(guessed_x, y - theme.px(9.0F), y + theme.px(9.0F), colour::kYellow, theme.px(2.0F));
  canvas().AddCircleFilled(ImVec2(true_x, y), theme.px(8.0F), colour::kVermilion);
  canvas().AddCircle(ImVec2(true_x, y), theme.px(8.0F), colour::kText, 0, theme.px(1.5F));
}

void draw_whole(const Rect& area,
                const FrequencyAxis& axis,
                const RulerView& view,
                bool names_answers,
                const Theme& theme) {
  Rect rest = area;
  const Rect label = rest.take_top(theme.px(kLabelHeight));
  const Rect answers = rest.take_bottom(names_answers ? theme.px(kNamesHeight) : 0.0F);
  const Rect names = rest.take_bottom(theme.px(kNamesHeight));
  const Rect& plot = rest;
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  draw_octave_lines(axis, plot);
  for (int band = kLowestBand; band <= kHighestBand; ++band) {
    const float x = axis.x_of(base::third_octave_centre_hz(band));
    draw_line(x, plot.bottom - 0.35F * plot.height(), plot.bottom, colour::kTrack, theme.px(1.0F));
  }
  draw_octave_names(axis, names.top + theme.px(3.0F), theme);
  for (const RulerAnswer& answer : view.answers) {
    const float x = axis.x_of(answer.true_hz);
    draw_answer(x, axis.x_of(answer.guessed_hz), plot, theme);
    if (names_answers) {
      draw_label(theme.strong,
                 x,
                 answers.top,
                 area,
                 colour::kVermilion,
                 fmt::format("it was {}", name_of(answer.true_hz, view.by_note)));
    }
  }
  const ImU32 paint = view.is_open ? colour::kYellow : colour::kQuiet;
  const float x = axis.x_of(view.guess_hz);
  draw_guess(x, plot, paint, theme);
  draw_label(theme.title,
             x,
             label.top - theme.px(2.0F),
             area,
             paint,
             name_of(view.guess_hz, view.by_note));
}

/// Log frequency across the close-up.
struct CloseAxis {
  CloseUp range;
  float left = 0.0F;
  float width = 1.0F;

  [[nodiscard]] float x_of(double frequency_hz) const {
    return left + width * static_cast<float>(std::log2(frequency_hz / range.lowest_hz) /
                                             std::log2(range.highest_hz / range.lowest_hz));
  }

  [[nodiscard]] double hz_at(float x) const {
    return range.lowest_hz *
           std::pow(range.highest_hz / range.lowest_hz, static_cast<double>((x - left) / width));
  }
};

void draw_hearing_steps(const Rect& plot, const CloseAxis& axis, const Theme& theme) {
  const float top = plot.bottom - 0.22F * plot.height();
  double step_hz = axis.range.lowest_hz;
  while (step_hz < axis.range.highest_hz) {
    draw_line(axis.x_of(step_hz), top, plot.bottom, colour::kTrack, theme.px(1.0F));
    step_hz += ear::hearing_step_hz(step_hz);
  }
}

void draw_close_names(
    const Rect& names, const Rect& plot, const CloseAxis& axis, bool by_note, const Theme& theme) {
  const auto mark = [&](double frequency_hz, const std::string& name) {
    const float x = axis.x_of(frequency_hz);
    draw_line(x, plot.top, plot.bottom, colour::kGrid, theme.px(1.5F));
    draw_label(theme.small, x, names.top + theme.px(3.0F), names, colour::kQuiet, name);
  };
  if (by_note) {
    const double first = std::ceil(base::hz_to_semitone(axis.range.lowest_hz));
    for (double note = first; base::semitone_to_hz(note) <= axis.range.highest_hz; note += 1.0) {
      const std::string name = base::note_name(base::semitone_to_hz(note));
      mark(base::semitone_to_hz(note), name.substr(0, name.find(' ')));
    }
    return;
  }
  const int middle =
      base::third_octave_index(std::sqrt(axis.range.lowest_hz * axis.range.highest_hz));
  for (int band = middle - 1; band <= middle + 1; ++band) {
    const double centre_hz = base::third_octave_centre_hz(band);
    mark(centre_hz, band_name(band));
  }
}

void draw_close(const Rect& area, const RulerView& view, const Theme& theme) {
  Rect rest = area;
  const Rect caption = rest.take_top(theme.px(kNamesHeight + 8.0F));  // and the guess's triangle
  const Rect names = rest.take_bottom(theme.px(kNamesHeight));
  const Rect& plot = rest;
  const CloseAxis axis{close_up_of(view.guess_hz), plot.left, plot.width()};
  draw_text(
      theme.small,
      caption.left,
      caption.top,
      colour::kQuiet,
      fmt::format("An octave close up. Small ticks: the least that hearing tells apart, {:.1f} "
                  "Hz here.",
                  ear::hearing_step_hz(view.guess_hz)));
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  draw_close_names(names, plot, axis, view.by_note, theme);
  draw_hearing_steps(plot, axis, theme);
  const Clip clip({plot.left, plot.top - theme.px(10.0F), plot.right, plot.bottom});
  for (const RulerAnswer& answer : view.answers) {
    draw_answer(axis.x_of(answer.true_hz), axis.x_of(answer.guessed_hz), plot, theme);
  }
  draw_guess(
      axis.x_of(view.guess_hz), plot, view.is_open ? colour::kYellow : colour::kQuiet, theme);
}

}  // namespace

CloseUp close_up_of(double guess_hz) noexcept {
  const double half = std::exp2(0.5 * kCloseUpOctaves);
  const double middle_hz = base::third_octave_centre_hz(base::third_octave_index(guess_hz));
  return {middle_hz / half, middle_hz * half};
}

std::optional<double> draw_ear_ruler(const Rect& area,
                                     const FrequencyAxis& axis,
                                     const RulerView& view,
                                     const Actions& actions,
                                     const Theme& theme) {
  Rect rest = area;
  const Rect whole = rest.take_top(0.56F * (area.height() - theme.px(kGapHeight)));
  rest.take_top(theme.px(kGapHeight));
  draw_whole(whole, axis, view, area.height() >= theme.px(kLowHeight), theme);
  draw_close(rest, view, theme);
  const float mouse_x = ImGui::GetIO().MousePos.x;
  if (actions.is_mouse_held(whole)) {
    return axis.hz_at(mouse_x);
  }
  if (actions.is_clicked(rest)) {
    return CloseAxis{close_up_of(view.guess_hz), rest.left, rest.width()}.hz_at(mouse_x);
  }
  return std::nullopt;
}

}  // namespace brink::panel
