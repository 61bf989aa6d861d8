#include "panel/recording/recording_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <utility>

#include "base/printable.h"
#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/recording/folder_list.h"
#include "panel/recording/recording_list.h"

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

/// "40 s", "12 min": no finer than it can be known.
std::string left_words(double seconds) {
  constexpr double kLongS = 100.0;
  return seconds < kLongS ? fmt::format("{:.0f} s", std::ceil(seconds))
                          : fmt::format("{:.0f} min", std::ceil(seconds / 60.0));
}

std::string file_name(const std::string& path) {
  return base::printable(std::filesystem::path(path).filename().string());
}

}  // namespace

void RecordingPane::stop(std::unique_ptr<RecordingWork> work) {
  if (work) {
    work->stop();
    stopped_.push_back(std::move(work));
  }
}

void RecordingPane::open(const std::string& path, const std::function<void()>& on_news) {
  if (work_) {
    stop(std::move(before_));
    before_ = std::move(work_);
  }
  fault_.clear();
  drop_note_.clear();
  is_choosing_ = false;
  chooser_.leave_field();
  work_ = std::make_unique<RecordingWork>(path, on_news);
  has_news_ = false;
}

/// The first that looks like a recording; of the others it is said that they were left.
void RecordingPane::take_dropped(Context& context) {
  const std::vector<std::string>& files = context.input.dropped_files;
  if (files.empty()) {
    return;
  }
  context.view.pane = PaneId::kRecording;
  context.view.overlay = Overlay::kNone;
  auto chosen = std::find_if(files.begin(), files.end(), has_sound_name);
  chosen = chosen == files.end() ? files.begin() : chosen;
  open(*chosen, context.on_news);
  if (files.size() > 1) {
    drop_note_ =
        fmt::format("{} files were dropped; only {} is opened. Drop the others one at a time.",
                    files.size(),
                    file_name(*chosen));
  }
}

void RecordingPane::show_channel(int channel) {
  channel_ = channel;
  rings_.show(*shown_, channel_);
  picture_.show_channel(shown_->channels == 1 ? 1 : channel_);
}

/// The whole result, or what there is of it by now.
void RecordingPane::show(listen::Analysis analysis, std::vector<Spectrogram> pictures) {
  const bool is_same = shown_ && has_news_ && shown_->file == analysis.file;
  shown_ = std::move(analysis);
  picture_.open({shown_->file, shown_->sample_rate_hz, 0, shown_->samples, 1, std::move(pictures)});
  if (is_same) {
    hand_.view().grow(shown_->samples);
  } else {
    hand_.open(*shown_);
    channel_ = 0;
    selected_key_.reset();
    rings_.leave_out({});
    words_ = {};
    out_.forget();
    warnings_.clear();
  }
  show_channel(channel_);
}

void RecordingPane::take_news() {
  if (const auto news = work_->take_news()) {
    show(std::move(news->analysis), std::move(news->pictures));
    has_news_ = true;
  }
}

/// Once a pass, while something is analysed.
void RecordingPane::follow_work(const std::function<void()>& on_news) {
  if (before_ && work_->done_ratio() > 0.0) {
    stop(std::move(before_));  // the new one is a recording
  }
  if (work_->is_over()) {
    take_result(on_news);
  } else if (!before_) {
    take_news();
  }
}

/// A fault leaves what was shown, or analysed, before; of a folder one can choose a file.
void RecordingPane::take_result(const std::function<void()>& on_news) {
  if (!work_->fault().empty()) {
    drop_note_.clear();
    is_choosing_ = before_ == nullptr || work_->is_folder();
    if (work_->is_folder()) {
      chooser_.show_folder(work_->path());
    } else {
      fault_ = work_->fault();
    }
    if (has_news_) {
      shown_.reset();  // a part of what turned out to be none
    }
    work_ = std::move(before_);
    has_news_ = false;
    return;
  }
  show(std::move(work_->found().analysis), std::move(work_->found().pictures));
  warnings_ = listen::warnings(*shown_);
  if (shown_->was_stopped) {
    warnings_.insert(warnings_.begin(),
                     fmt::format("Stopped at {}; this is what was found until then.",
                                 place_words(shown_->duration_s())));
  }
  if (!drop_note_.empty()) {
    warnings_.push_back(drop_note_);
  }
  stop(std::move(before_));
  work_.reset();
  has_news_ = false;
  memory_.open(*shown_, on_news);
}

/// Once a pass, while nothing is analysed: ticks and notes of before, and of now.
void RecordingPane::remember(const std::function<void()>& on_news) {
  if (auto found = memory_.take_found(*shown_)) {
    // What was said in the meantime is not lost.
    found->left_out.insert(rings_.left_out().begin(), rings_.left_out().end());
    found->notes.insert(words_.notes.begin(), words_.notes.end());
    words_ = std::move(*found);
    rings_.leave_out(words_.left_out);
  }
  words_.left_out = rings_.left_out();
  memory_.keep(words_, *shown_, on_news);
}

void RecordingPane::follow(Context& context) {
  take_dropped(context);
  std::erase_if(stopped_, [](const auto& work) { return work->is_over(); });
  if (work_) {
    follow_work(context.on_news);
  }
  if (shown_) {
    picture_.follow(hand_.view(), work_ != nullptr, context.on_news);
    if (!work_) {
      remember(context.on_news);
      rings_.fit(context.desk.target(), context.on_news);
    }
    out_.follow(context);
  }
  if (context.view.pane != PaneId::kRecording) {
    chooser_.leave_field();
  }
  hear(context);
}

std::size_t RecordingPane::selected() const noexcept {
  return selected_key_ ? rings_.row_of(*selected_key_).value_or(0) : 0;
}

/// The row that counts from now on, seen in the picture.
void RecordingPane::select(std::optional<std::size_t> row) {
  if (row && *row < rings_.rows().size()) {
    selected_key_ = rings_.key(*row);
    hand_.view().bring(static_cast<double>(rings_.loudest(*row).ring.onset_sample));
  }
}

/// At the selected ring; from the beginning where nothing rang.
std::optional<RecordingPiece> RecordingPane::piece_to_hear() const {
  if (!shown_) {
    return std::nullopt;
  }
  return has_rows() ? piece_before(*shown_, rings_.loudest(selected()))
                    : RecordingPiece{shown_->file, std::max(channel_, 1), 0};
}

void RecordingPane::hear(Context& context) {
  const bool is_shown = context.view.pane == PaneId::kRecording &&
                        context.view.overlay == Overlay::kNone && !is_choosing_ && !work_ &&
                        !out_.is_open() && !note_form_.is_open();
  const bool is_held =
      is_shown && context.input.has_focus && context.input.is_space_held && !chooser_.has_focus();
  sound_.hold(piece_to_hear(), is_held, context.on_news);
}

void RecordingPane::ask_note() {
  std::vector<FormField> fields{{"on the recording", words_.note}};
  if (has_rows()) {
    const RingKey key = rings_.key(selected());
    const auto note = words_.notes.find(key);
    fields.insert(
        fields.begin(),
        {fmt::format("on {}", base::frequency_label(rings_.loudest(selected()).ring.frequency_hz)),
         note == words_.notes.end() ? std::string() : note->second});
  }
  note_form_.open("Notes",
                  std::move(fields),
                  [this, key = has_rows() ? std::optional(rings_.key(selected())) : std::nullopt](
                      const std::vector<std::string>& texts) -> std::optional<std::string> {
                    words_.note = texts.back();
                    if (key && texts.front().empty()) {
                      words_.notes.erase(*key);
                    } else if (key) {
                      words_.notes[*key] = texts.front();
                    }
                    return std::nullopt;
                  });
}

void RecordingPane::offer_words(Actions& actions) {
  if (actions.offer("M", "note")) {
    ask_note();
  }
  if (actions.offer("W", "write out")) {
    out_.open();
  }
}

void RecordingPane::steer(Context& context) {
  Actions& actions = context.actions;
  if (work_) {
    if (actions.offer("S", "stop, and keep what was found")) {
      work_->stop();
    }
  }
  if (has_rows()) {
    actions.show("\u2191\u2193", "row");
    const int count = static_cast<int>(rings_.rows().size());
    const int step =
        actions.count_presses(Key::kDown, false) - actions.count_presses(Key::kUp, false);
    if (step != 0) {
      const int row = std::clamp(static_cast<int>(selected()) + step, 0, count - 1);
      select(static_cast<std::size_t>(row));
    }
    if (actions.offer(
            Key::kEnter, "Enter", rings_.is_ticked(selected()) ? "leave out" : "take in")) {
      rings_.tick(selected(), !rings_.is_ticked(selected()));
    }
    const bool is_by_danger = rings_.order() == listen::RowOrder::kDanger;
    if (actions.offer("D", is_by_danger ? "by time" : "by danger")) {
      rings_.sort(is_by_danger ? listen::RowOrder::kTime : listen::RowOrder::kDanger);
    }
  }
  const int channels = shown_->channels;
  if (channels > 1) {
    actions.show("\u2190\u2192", "channel");
    const int step =
        actions.count_presses(Key::kRight, false) - actions.count_presses(Key::kLeft, false);
    if (step != 0) {
      show_channel(std::clamp(channel_ + step, 0, channels));
    }
  }
  if (work_) {
    return;
  }
  actions.show("Space", "held: hear it");
  if (actions.offer(",", "quieter")) {
    sound_.step_level(-1);
  }
  if (actions.offer(".", "louder")) {
    sound_.step_level(1);
  }
  offer_words(actions);
  if (actions.offer("O", "open another file")) {
    is_choosing_ = true;
    chooser_.type_path();
  }
}

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
      draw_text(theme.strong, area.left, area.top, colour::kText, file_name(analysis.file));
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
void RecordingPane::draw_progress(Rect& area, Context& context) {
  const Theme& theme = context.theme;
  const Rect line = area.take_top(theme.px(kLineHeight));
  Rect bar{line.left, line.top + theme.px(4.0F), line.left, line.top + theme.px(16.0F)};
  bar.right = bar.left + std::min(theme.px(420.0F), 0.5F * line.width());
  canvas().AddRectFilled(
      ImVec2(bar.left, bar.top), ImVec2(bar.right, bar.bottom), colour::kGrid, theme.px(4.0F));
  const auto done = static_cast<float>(work_->done_ratio());
  canvas().AddRectFilled(ImVec2(bar.left, bar.top),
                         ImVec2(bar.left + done * bar.width(), bar.bottom),
                         colour::kSky,
                         theme.px(4.0F));
  const auto left_s = work_->left_s();
  draw_text(theme.body,
            bar.right + theme.px(14.0F),
            line.top,
            colour::kText,
            fmt::format("{:.0f} %{}",
                        100.0F * done,
                        left_s ? fmt::format(", about {} left", left_words(*left_s)) : ""));
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
            "Listening through " + file_name(work_->path()));
  rest.take_top(theme.px(44.0F));
  draw_progress(rest, context);
  if (context.actions.offer("S", "stop, and keep what was found")) {
    work_->stop();
  }
}

/// Returns what is left of the area.
Rect RecordingPane::draw_sound(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  const std::string& fault = sound_.sound().fault();
  const std::string words = !fault.empty() ? fault
                            : sound_.is_opening()
                                ? "Opening the sound output ..."
                                : "Headphones down first. E: how long at which level.";
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

void RecordingPane::steer_plot(const PlotScale& scale, Context& context) {
  const double about = has_rows()
                           ? static_cast<double>(rings_.loudest(selected()).ring.onset_sample)
                           : 0.5 * (scale.from + scale.to);
  const auto click = hand_.steer(context.actions, scale, about, context.theme);
  if (!click) {
    return;
  }
  if (const auto ring = ring_at(scale, *shown_, rings_, click->x, click->y, context.theme)) {
    select(rings_.row_of(*ring));
  }
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

void RecordingPane::draw_shown(const Rect& area, Context& context) {
  if (!note_form_.is_open()) {  // then the keys are its own
    steer(context);
  }
  const Theme& theme = context.theme;
  Rect rest = area;
  Rect right = rest.take_right(theme.px(kRowsWidth));
  rest.take_right(theme.px(16.0F));
  draw_head(rest.take_top(theme.px(kLineHeight + 4.0F)), context);
  if (work_) {
    draw_progress(rest, context);
  }
  for (const std::string& warning : warnings_) {
    const float height =
        draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, warning);
    rest.take_top(height + theme.px(4.0F));
  }
  std::string row_note;
  if (has_rows()) {
    const auto note = words_.notes.find(rings_.key(selected()));
    row_note = note == words_.notes.end() ? std::string() : "This row: " + note->second;
  }
  for (const std::string& words : {out_.words(), memory_.fault(), words_.note, row_note}) {
    if (!words.empty()) {
      const float height = draw_wrapped(
          theme.body, rest.left, rest.top, rest.width(), colour::kText, base::printable(words));
      rest.take_top(height + theme.px(4.0F));
    }
  }
  const bool hides = context.view.hides_answers;
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
  if (!work_) {
    right = draw_sound(right, context);
    right = draw_recording_cuts(right, rings_, context.desk.target().name, hides, theme);
  }
  const RowsShown shown{
      shown_->sample_rate_hz, static_cast<int>(selected()), hides, [this](std::size_t row) {
        const auto note = words_.notes.find(rings_.key(row));
        return note == words_.notes.end() ? std::string() : note->second;
      }};
  if (const auto click = draw_recording_rows(right, rings_, shown, context.actions, theme)) {
    const auto row = static_cast<std::size_t>(click->row);
    select(row);
    if (click->is_tick) {
      rings_.tick(row, !rings_.is_ticked(row));
    }
  }
}

void RecordingPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  if (work_ && !has_news_) {
    draw_waiting(area, context);
    return;
  }
  if (!work_ && !is_choosing_ && out_.is_open()) {
    out_.draw(area, context, *shown_, words_);
    return;
  }
  if (work_ || (!is_choosing_ && shown_)) {
    draw_shown(area, context);
    if (note_form_.is_open()) {
      note_form_.draw(area, context);
    }
    return;
  }
  Rect rest = area;
  rest.right = std::min(rest.right, rest.left + theme.px(820.0F));
  if (!fault_.empty()) {
    const float height =
        draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, fault_);
    rest.take_top(height + theme.px(10.0F));
  }
  const bool can_leave = shown_.has_value() || chooser_.has_focus();
  if (can_leave &&
      context.actions.offer(Key::kEscape, "Esc", shown_ ? "back" : "leave the field")) {
    is_choosing_ = !shown_;
    chooser_.leave_field();
    fault_.clear();
    return;
  }
  if (const auto path = chooser_.draw(rest, context)) {
    open(*path, context.on_news);
  }
}

}  // namespace brink::panel
