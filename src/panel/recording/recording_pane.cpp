#include "panel/recording/recording_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "panel/draw/words.h"
#include "panel/recording/folder_list.h"

namespace brink::panel {

void RecordingPane::open(const std::string& path, const std::function<void()>& on_news) {
  fault_.clear();
  drop_note_.clear();
  is_choosing_ = false;
  chooser_.leave_field();
  opener_.open(path, on_news);
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
                    file_name_words(*chosen));
  }
}

void RecordingPane::show_channel(int channel) {
  channel_ = channel;
  rings_.show(shown_, channel_);
  picture_.show_channel(shown_->channels == 1 ? 1 : channel_);
}

/// The whole result, or what there is of it by now.
void RecordingPane::show(listen::Analysis analysis, std::vector<Spectrogram> pictures) {
  const bool is_same = shown_ && has_news_ && shown_->file == analysis.file;
  shown_ = std::make_shared<const listen::Analysis>(std::move(analysis));
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
    compare_.forget();
    hears_alone_ = has_heard_alone_ = false;
    warnings_.clear();
  }
  show_channel(channel_);
}

void RecordingPane::take_news() {
  if (const auto news = opener_.work()->take_news()) {
    show(std::move(news->analysis), std::move(news->pictures));
    has_news_ = true;
  }
}

/// Once a pass, while something is analysed.
void RecordingPane::follow_work(const std::function<void()>& on_news) {
  if (opener_.work()->is_over()) {
    take_result(on_news);
  } else if (!opener_.has_before()) {
    take_news();
  }
}

/// A fault leaves what was shown, or analysed, before; of a folder one can choose a file.
void RecordingPane::take_result(const std::function<void()>& on_news) {
  RecordingWork& work = *opener_.work();
  if (!work.fault().empty()) {
    drop_note_.clear();
    is_choosing_ = !opener_.has_before() || work.is_folder();
    if (work.is_folder()) {
      chooser_.show_folder(work.path());
    } else {
      fault_ = work.fault();
    }
    if (has_news_) {
      shown_.reset();  // a part of what turned out to be none
    }
    opener_.go_back();
    has_news_ = false;
    return;
  }
  show(std::move(work.found().analysis), std::move(work.found().pictures));
  warnings_ = listen::warnings(*shown_);
  if (shown_->was_stopped) {
    warnings_.insert(warnings_.begin(),
                     fmt::format("Stopped at {}; this is what was found until then.",
                                 place_words(shown_->duration_s())));
  }
  if (!drop_note_.empty()) {
    warnings_.push_back(drop_note_);
  }
  opener_.close();
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
  opener_.follow();
  if (opener_.work()) {
    follow_work(context.on_news);
  }
  if (shown_) {
    picture_.follow(hand_.view(), opener_.work() != nullptr, context.on_news);
    if (!opener_.work()) {
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

}  // namespace brink::panel
