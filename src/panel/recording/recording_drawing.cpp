// How the Recording pane is drawn.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/printable.h"
#include "base/progress_words.h"
#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/first_step.h"
#include "panel/draw/words.h"
#include "panel/recording/folder_list.h"
#include "panel/recording/recording_list.h"
#include "panel/recording/recording_pane.h"

namespace brink::panel {
namespace {

constexpr float kRowsWidth = 392.0F;
constexpr float kLineHeight = 24.0F;
constexpr float kLevelHeight = 96.0F;

/// "0:12.34": a moment, finer than a tenth.
std::string clock_words_fine(double seconds) {
  const auto hundredths = static_cast<long long>(std::llround(100.0 * std::max(seconds, 0.0)));
  const long long minutes = hundredths / 6000;
  const std::string rest = fmt::format("{:02}.{:02}", hundredths / 100 % 60, hundredths % 100);
  return minutes < 60 ? fmt::format("{}:{}", minutes, rest)
                      : fmt::format("{}:{:02}:{}", minutes / 60, minutes % 60, rest);
}

/// What is heard, and that both are as loud.
std::string loudness_words(bool is_alone, const RecordingSound& sound) {
  const std::string what = is_alone ? "The ring alone" : "The whole";
  const auto lufs = sound.loudness_lufs();
  return lufs ? fmt::format("{}, {:+.1f} dB: both at {:.1f} LUFS (ITU-R BS.1770).",
                            what,
                            sound.gain_db(),
                            *lufs)
              : what + ".";
}

}  // namespace

/// What lies under the cursor.
std::string RecordingPane::cursor_words() const {
  const auto& cursor = hand_.cursor();
  if (!cursor) {
    return {};
  }
  const auto level_dbfs =
      picture_.level_dbfs(cursor->channel, cursor->sample, cursor->frequency_hz);
  return fmt::format("{}  {}  {}{}",
                     clock_words_fine(cursor->sample / shown_->sample_rate_hz),
                     base::frequency_label(cursor->frequency_hz),
                     level_dbfs ? fmt::format("{:.1f} dBFS", *level_dbfs) : "no level",
                     shown_->channels > 1 ? fmt::format("  channel {}", cursor->channel) : "");
}

void RecordingPane::draw_head(const Rect& area, const Context& context) const {
  const Theme& theme = context.theme;
  const listen::Analysis& analysis = *shown_;
  const Clip clip(area);
  const float name =
      draw_text(theme.strong, area.left, area.top, colour::kText, file_name_words(analysis.file));
  std::string channels = analysis.channels == 1 ? "one channel"
                         : channel_ == 0
                             ? fmt::format("all {} channels", analysis.channels)
                             : fmt::format("channel {} of {}", channel_, analysis.channels);
  const std::size_t rings = rings_.rings().size();
  const std::size_t places = rings_.rows().size();
  const float facts =
      draw_text(theme.body,
                area.left + name + theme.px(18.0F),
                area.top,
                colour::kQuiet,
                fmt::format("{}, {:g} kHz, {}, {}",
                            place_words(analysis.duration_s()),
                            analysis.sample_rate_hz / 1000.0,
                            channels,
                            rings == 1        ? "1 ring"
                            : rings == places ? fmt::format("{} rings", rings)
                                              : fmt::format("{} rings, {} rows", rings, places)));
  const std::string cursor = context.view.hides_answers ? std::string() : cursor_words();
  if (area.left + name + facts + theme.px(40.0F) + text_width(theme.body, cursor) < area.right) {
    draw_text(theme.body, area.right, area.top, colour::kText, cursor, Align::kRight);
  }
}

/// One line, cut off the area.
void RecordingPane::draw_progress(Rect& area, const Theme& theme) const {
  const Rect line = area.take_top(theme.px(kLineHeight));
  Rect bar{line.left, line.top + theme.px(4.0F), line.left, line.top + theme.px(16.0F)};
  bar.right = bar.left + std::min(theme.px(420.0F), 0.5F * line.width());
  canvas().AddRectFilled(
      ImVec2(bar.left, bar.top), ImVec2(bar.right, bar.bottom), colour::kGrid, theme.px(4.0F));
  const auto done = static_cast<float>(opener_.work()->done_ratio());
  canvas().AddRectFilled(ImVec2(bar.left, bar.top),
                         ImVec2(bar.left + done * bar.width(), bar.bottom),
                         colour::kSky,
                         theme.px(4.0F));
  draw_text(theme.body,
            bar.right + theme.px(14.0F),
            line.top,
            colour::kText,
            base::progress_words(opener_.work()->done_ratio(), opener_.work()->spent_s()));
  const float height =
      draw_wrapped(theme.body, area.left, area.top, area.width(), colour::kOrange, fault_);
  area.take_top(fault_.empty() ? 0.0F : height + theme.px(4.0F));
}

/// Before anything of it is known.
void RecordingPane::draw_waiting(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  draw_text(theme.title,
            rest.left,
            rest.top,
            colour::kText,
            "Listening through " + file_name_words(opener_.work()->path()));
  rest.take_top(theme.px(44.0F));
  draw_progress(rest, theme);
  offer_stop(context.actions);
}

/// Whether it sounds, and what to mind. Returns what is left of the area.
Rect RecordingPane::draw_sound(const Rect& area, const Theme& theme) const {
  const std::string& fault = sound_.sound().fault();
  const std::string words = !fault.empty()        ? fault
                            : sound_.is_opening() ? std::string("Opening the sound output ...")
                            : has_heard_alone_
                                ? loudness_words(hears_alone_, sound_)
                                : std::string("Headphones down first. E: how long at which level.");
  Rect rest = area;
  const Rect card = rest.take_bottom(theme.px(fault.empty() ? 84.0F : 124.0F));
  rest.take_bottom(theme.px(8.0F));
  draw_card(card, theme);
  Rect inner = card.inset(theme.px(10.0F));
  inner.left += theme.px(6.0F);
  inner.right -= theme.px(4.0F);
  draw_sound_level(inner, sound_.sound(), theme);
  draw_wrapped(theme.small,
               inner.left,
               inner.top,
               inner.width(),
               fault.empty() ? colour::kQuiet : colour::kOrange,
               words);
  return rest;
}

/// The spectrogram, and below it the level of the selected ring.
void RecordingPane::draw_picture(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  const Rect level = rest.take_bottom(theme.px(has_rows() ? kLevelHeight : 0.0F));
  const RecordingView& view = hand_.view();
  const PlotScale scale{recording_plot_area(rest, theme),
                        view.from(),
                        std::max(view.to(), view.from() + 1.0),
                        shown_->channels == 1 ? 1 : channel_,
                        shown_->channels};
  steer_plot(scale, context);
  draw_recording_plot(
      scale, picture_, *shown_, rings_, has_rows() ? static_cast<int>(selected()) : -1, theme);
  if (has_rows()) {
    draw_level_row(level, scale, picture_, *shown_, rings_.loudest(selected()), theme);
  }
  if (hand_.cursor()) {
    draw_cursor(scale, *hand_.cursor(), theme);
  }
  draw_sounding_place(scale, sound_.sounding_sample(), theme);
}

/// Warnings, what came of writing it out, and notes; cut off the area.
void RecordingPane::draw_words(Rect& area, const Theme& theme) const {
  const auto draw_line = [&](ImU32 colour, const std::string& words) {
    const float height = draw_wrapped(theme.body, area.left, area.top, area.width(), colour, words);
    area.take_top(height + theme.px(4.0F));
  };
  for (const std::string& warning : warnings_) {
    draw_line(colour::kOrange, warning);
  }
  const std::string row_note = has_rows() ? words_.note_on(rings_.key(selected())) : std::string();
  for (const std::string& words : {out_.words(),
                                   memory_.fault(),
                                   words_.note,
                                   row_note.empty() ? std::string() : "This row: " + row_note}) {
    if (!words.empty()) {
      draw_line(colour::kText, base::printable(words));
    }
  }
}

void RecordingPane::draw_rows(const Rect& area, Context& context) {
  const RowsShown shown{shown_->sample_rate_hz,
                        static_cast<int>(selected()),
                        context.view.hides_answers,
                        [this](std::size_t row) { return words_.note_on(rings_.key(row)); }};
  if (const auto click = draw_recording_rows(area, rings_, shown, context.actions, context.theme)) {
    const auto row = static_cast<std::size_t>(click->row);
    select(row);
    if (click->is_tick) {
      rings_.tick(row, !rings_.is_ticked(row));
    }
  }
}

void RecordingPane::draw_shown(const Rect& area, Context& context) {
  if (!note_form_.is_open()) {  // then the keys are its own
    steer(context.actions);
  }
  const Theme& theme = context.theme;
  const bool hides = context.view.hides_answers;
  Rect rest = area;
  Rect right = rest.take_right(theme.px(kRowsWidth));
  rest.take_right(theme.px(16.0F));
  draw_head(rest.take_top(theme.px(kLineHeight + 4.0F)), context);
  if (opener_.work()) {
    draw_progress(rest, theme);
  }
  draw_words(rest, theme);
  if (hides) {
    draw_card(rest, theme);
    draw_text(theme.title,
              rest.middle_x(),
              rest.middle_y() - theme.title->FontSize,
              colour::kText,
              "Answers are hidden",
              Align::kMiddle);
  } else {
    draw_picture(rest, context);
  }
  if (!opener_.work()) {
    right = draw_sound(right, theme);
    right = draw_recording_cuts(right, rings_, context.desk.target().name, hides, theme);
  }
  draw_rows(right, context);
}

/// No file is open: the list of files, and what was wrong with the last one.
void RecordingPane::draw_choice(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  rest.right = std::min(rest.right, rest.left + theme.px(820.0F));
  if (!fault_.empty()) {
    const float height =
        draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, fault_);
    rest.take_top(height + theme.px(10.0F));
  }
  const bool can_leave = shown_ != nullptr || chooser_.has_focus();
  if (can_leave &&
      context.actions.offer(Key::kEscape, "Esc", shown_ ? "back" : "leave the field")) {
    is_choosing_ = !shown_;
    chooser_.leave_field();
    fault_.clear();
    return;
  }
  if (!shown_) {
    draw_first_step(rest, "Enter", "opens a recording.", theme.px(66.0F), theme);
  }
  if (const auto path = chooser_.draw(rest, context)) {
    open(*path, context.on_news);
  }
}

void RecordingPane::draw(const Rect& area, Context& context) {
  if (opener_.work() && !has_news_) {
    draw_waiting(area, context);
  } else if (!opener_.work() && !is_choosing_ && out_.is_open()) {
    out_.draw(area, context, *shown_, words_);
  } else if (!opener_.work() && !is_choosing_ && compare_.is_open()) {
    compare_.draw(area, context, *shown_);
  } else if (opener_.work() || (!is_choosing_ && shown_)) {
    draw_shown(area, context);
    if (note_form_.is_open()) {
      note_form_.draw(area, context);
    }
  } else {
    draw_choice(area, context);
  }
}

}  // namespace brink::panel
