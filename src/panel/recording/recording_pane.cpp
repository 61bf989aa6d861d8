#include "panel/recording/recording_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <span>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/recording/folder_list.h"
#include "panel/recording/recording_list.h"

namespace brink::panel {
namespace {

constexpr float kRowsWidth = 392.0F;
constexpr float kLineHeight = 24.0F;

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

void RecordingPane::show_channel() {
  rings_.show(found_->analysis, channel_);
  selected_ = 0;
  const std::span<const Spectrogram> pictures(found_->pictures);
  const auto index = static_cast<std::size_t>(std::max(channel_ - 1, 0));
  const bool is_one = channel_ > 0 && index < pictures.size();
  plot_.show(is_one ? pictures.subspan(index, 1) : pictures, found_->analysis.samples);
}

/// Once a pass, while something is analysed.
void RecordingPane::follow_work() {
  if (before_ && work_->done_ratio() > 0.0) {
    stop(std::move(before_));  // the new one is a recording
  }
  if (work_->is_over()) {
    take_result();
  }
}

/// A fault leaves what was shown, or analysed, before; of a folder one can choose a file.
void RecordingPane::take_result() {
  if (!work_->fault().empty()) {
    drop_note_.clear();
    is_choosing_ = before_ == nullptr || work_->is_folder();
    if (work_->is_folder()) {
      chooser_.show_folder(work_->path());
    } else {
      fault_ = work_->fault();
    }
    work_ = std::move(before_);
    return;
  }
  found_ = std::move(work_->found());
  warnings_ = listen::warnings(found_->analysis);
  if (found_->analysis.was_stopped) {
    warnings_.insert(warnings_.begin(),
                     fmt::format("Stopped at {}; this is what was found until then.",
                                 place_words(found_->analysis.duration_s())));
  }
  if (!drop_note_.empty()) {
    warnings_.push_back(drop_note_);
  }
  channel_ = 0;
  show_channel();
  stop(std::move(before_));
  work_.reset();
}

void RecordingPane::follow(Context& context) {
  take_dropped(context);
  std::erase_if(stopped_, [](const auto& work) { return work->is_over(); });
  if (work_) {
    follow_work();
  }
  if (found_) {
    rings_.fit(context.desk.target(), context.on_news);
  }
  if (context.view.pane != PaneId::kRecording) {
    chooser_.leave_field();
  }
  hear(context);
}

/// At the selected ring; from the beginning where nothing rang.
std::optional<RecordingPiece> RecordingPane::piece_to_hear() const {
  if (!found_) {
    return std::nullopt;
  }
  const listen::Analysis& analysis = found_->analysis;
  return rings_.rings().empty()
             ? RecordingPiece{analysis.file, std::max(channel_, 1), 0}
             : piece_before(analysis, rings_.loudest(static_cast<std::size_t>(selected_)));
}

void RecordingPane::hear(Context& context) {
  const bool is_shown = context.view.pane == PaneId::kRecording &&
                        context.view.overlay == Overlay::kNone && !is_choosing_ && !work_;
  const bool is_held =
      is_shown && context.input.has_focus && context.input.is_space_held && !chooser_.has_focus();
  sound_.hold(piece_to_hear(), is_held, context.on_news);
}

void RecordingPane::steer(Context& context) {
  Actions& actions = context.actions;
  const int count = static_cast<int>(rings_.places().size());
  if (count > 0) {
    actions.show("\u2191\u2193", "jump to a ring");
    selected_ += actions.count_presses(Key::kDown) - actions.count_presses(Key::kUp);
    selected_ = std::clamp(selected_, 0, count - 1);
  }
  const int channels = found_->analysis.channels;
  if (channels > 1) {
    actions.show("\u2190\u2192", "channel");
    const int step = actions.count_presses(Key::kRight) - actions.count_presses(Key::kLeft);
    if (step != 0) {
      channel_ = std::clamp(channel_ + step, 0, channels);
      show_channel();
    }
  }
  actions.show("Space", "held: hear it");
  if (actions.offer(",", "quieter")) {
    sound_.step_level(-1);
  }
  if (actions.offer(".", "louder")) {
    sound_.step_level(1);
  }
  if (actions.offer("O", "open another file")) {
    is_choosing_ = true;
    chooser_.type_path();
  }
}

void RecordingPane::draw_head(const Rect& area, const Context& context) const {
  const Theme& theme = context.theme;
  const listen::Analysis& analysis = found_->analysis;
  const Clip clip(area);
  const float name =
      draw_text(theme.strong, area.left, area.top, colour::kText, file_name(analysis.file));
  std::string channels = analysis.channels == 1 ? "one channel"
                         : channel_ == 0
                             ? fmt::format("all {} channels", analysis.channels)
                             : fmt::format("channel {} of {}", channel_, analysis.channels);
  const std::size_t rings = rings_.rings().size();
  const std::size_t places = rings_.places().size();
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
                                          : fmt::format("{} rings at {} places", rings, places)));
}

void RecordingPane::draw_progress(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  draw_text(theme.title,
            rest.left,
            rest.top,
            colour::kText,
            "Listening through " + file_name(work_->path()));
  rest.take_top(theme.px(44.0F));
  Rect bar = rest.take_top(theme.px(14.0F));
  bar.right = std::min(bar.right, bar.left + theme.px(600.0F));
  canvas().AddRectFilled(
      ImVec2(bar.left, bar.top), ImVec2(bar.right, bar.bottom), colour::kGrid, theme.px(4.0F));
  const auto done = static_cast<float>(work_->done_ratio());
  canvas().AddRectFilled(ImVec2(bar.left, bar.top),
                         ImVec2(bar.left + done * bar.width(), bar.bottom),
                         colour::kSky,
                         theme.px(4.0F));
  draw_text(theme.body,
            bar.right + theme.px(14.0F),
            bar.middle_y() - 0.5F * theme.body->FontSize,
            colour::kText,
            fmt::format("{:.0f} %", 100.0F * done));
  rest.take_top(theme.px(16.0F));
  draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, fault_);
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

void RecordingPane::draw_found(const Rect& area, Context& context) {
  steer(context);
  const Theme& theme = context.theme;
  Rect rest = area;
  Rect right = rest.take_right(theme.px(kRowsWidth));
  rest.take_right(theme.px(16.0F));
  draw_head(rest.take_top(theme.px(kLineHeight + 4.0F)), context);
  for (const std::string& warning : warnings_) {
    const float height =
        draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, warning);
    rest.take_top(height + theme.px(4.0F));
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
    plot_.draw(rest, found_->analysis, rings_, selected_, theme);
    plot_.draw_place(rest, found_->analysis, sound_.sounding_sample(), theme);
  }
  right = draw_sound(right, context);
  right = draw_recording_cuts(right, rings_, context.desk.target().name, hides, theme);
  draw_recording_rows(right, rings_, found_->analysis.sample_rate_hz, selected_, hides, theme);
}

void RecordingPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  if (work_) {
    draw_progress(area, context);
    return;
  }
  if (!is_choosing_ && found_) {
    draw_found(area, context);
    return;
  }
  Rect rest = area;
  rest.right = std::min(rest.right, rest.left + theme.px(820.0F));
  if (!fault_.empty()) {
    const float height =
        draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, fault_);
    rest.take_top(height + theme.px(10.0F));
  }
  const bool can_leave = found_.has_value() || chooser_.has_focus();
  if (can_leave &&
      context.actions.offer(Key::kEscape, "Esc", found_ ? "back" : "leave the field")) {
    is_choosing_ = !found_;
    chooser_.leave_field();
    fault_.clear();
    return;
  }
  if (const auto path = chooser_.draw(rest, context)) {
    open(*path, context.on_news);
  }
}

void RecordingPane::describe(Facts& facts) const {
  facts.add("is_choosing", is_choosing_ && !work_);
  facts.add("is_typing", chooser_.has_focus());
  facts.add("chosen", chooser_.chosen());
  facts.add("fault", fault_);
  facts.add("is_working", work_ != nullptr);
  facts.add("done_ratio", work_ ? work_->done_ratio() : found_ ? 1.0 : 0.0);
  if (!found_) {
    return;
  }
  const listen::Analysis& analysis = found_->analysis;
  facts.add("file", file_name(analysis.file));
  facts.add("warnings", fmt::format("{}", fmt::join(warnings_, " ")));
  facts.add("was_stopped", analysis.was_stopped);
  facts.add("duration_s", analysis.duration_s());
  facts.add("channels", static_cast<double>(analysis.channels));
  facts.add("channel", static_cast<double>(channel_));
  facts.add("ring_count", static_cast<double>(rings_.rings().size()));
  facts.add("place_count", static_cast<double>(rings_.places().size()));
  facts.add("selected", static_cast<double>(selected_));
  facts.add("is_fitted", rings_.is_fitted());
  facts.add("is_playing", sound_.sound().is_playing());
  facts.add("level_db", sound_.sound().level_db());
  facts.add("sound_fault", sound_.sound().fault());
  if (const auto sample = sound_.sounding_sample()) {
    facts.add("sounding_s", analysis.to_s(*sample));
  }
  if (rings_.rings().empty()) {
    return;
  }
  const auto index = static_cast<std::size_t>(selected_);
  const detector::Ring& ring = rings_.loudest(index).ring;
  facts.add("frequency_hz", ring.frequency_hz);
  facts.add("onset_s", analysis.to_s(ring.onset_sample));
  facts.add("growth_db_per_s", ring.growth_db_per_s);
  facts.add("peak_dbfs", ring.peak_dbfs);
  facts.add("confidence", ring.confidence);
  if (rings_.is_fitted()) {
    facts.add("cut", cut_words(rings_.cuts(index), rings_.kind()));
    facts.add("shared_count", static_cast<double>(rings_.shared().size()));
  }
}

}  // namespace brink::panel
