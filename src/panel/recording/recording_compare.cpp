#include "panel/recording/recording_compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <vector>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/recording/folder_list.h"
#include "report/analysis/analysis_compare.h"
#include "report/book/book_text.h"

namespace brink::panel {
namespace {

constexpr float kLineHeight = 23.0F;

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.push_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

}  // namespace

void RecordingCompare::open() {
  is_open_ = true;
  fault_.clear();
}

void RecordingCompare::forget() {
  is_open_ = false;
  work_.reset();
  fault_.clear();
  text_.clear();
}

void RecordingCompare::follow(const listen::Analysis& now) {
  if (!work_ || !work_->is_over()) {
    return;
  }
  if (work_->is_folder()) {
    chooser_.show_folder(work_->path());
  } else if (!work_->fault().empty()) {
    fault_ = work_->fault();
  } else {
    const auto [before, shown, visits] = report::compare_recordings(work_->found().analysis, now);
    text_ = report::comparison_text(before, shown, visits);
    first_line_ = 0;
  }
  work_.reset();
}

void RecordingCompare::draw_choice(Rect area, Context& context) {
  const Theme& theme = context.theme;
  area.right = std::min(area.right, area.left + theme.px(820.0F));
  const Rect head = area.take_top(theme.px(40.0F));
  draw_text(theme.title, head.left, head.top, colour::kText, "Compare with which earlier one?");
  if (!fault_.empty()) {
    area.take_top(
        draw_wrapped(theme.body, area.left, area.top, area.width(), colour::kOrange, fault_) +
        theme.px(10.0F));
  }
  if (context.actions.offer(
          Key::kEscape, "Esc", chooser_.has_focus() ? "leave the field" : "back")) {
    is_open_ = chooser_.has_focus();
    chooser_.leave_field();
    return;
  }
  if (const auto path = chooser_.draw(area, context)) {
    fault_.clear();
    chooser_.leave_field();
    work_ = std::make_unique<RecordingWork>(*path, context.on_news);
  }
}

void RecordingCompare::draw_waiting(Rect area, Context& context) const {
  const Theme& theme = context.theme;
  const Rect head = area.take_top(theme.px(40.0F));
  draw_text(theme.title,
            head.left,
            head.top,
            colour::kText,
            fmt::format("Listening through {}: {:.0f} %",
                        file_name_words(work_->path()),
                        100.0 * work_->done_ratio()));
}

void RecordingCompare::draw_text_page(Rect area, Context& context) {
  const Theme& theme = context.theme;
  Actions& actions = context.actions;
  const auto lines = lines_of(text_);
  const int room = std::max(1, static_cast<int>(area.height() / theme.px(kLineHeight)));
  const int most = std::max(0, static_cast<int>(lines.size()) - room);
  if (most > 0) {
    actions.show("\u2191\u2193", "along");
  }
  first_line_ +=
      actions.count_presses(Key::kDown) - actions.count_presses(Key::kUp) +
      room * (actions.count_presses(Key::kPageDown) - actions.count_presses(Key::kPageUp)) -
      static_cast<int>(actions.wheel_steps(area));
  first_line_ = std::clamp(first_line_, 0, most);
  for (int i = first_line_; i < std::min(first_line_ + room, static_cast<int>(lines.size())); ++i) {
    const Rect row = area.take_top(theme.px(kLineHeight));
    const std::string_view line = lines[static_cast<std::size_t>(i)];
    // What is indented belongs to the line above it.
    const std::size_t indent = std::min(line.find_first_not_of(' '), line.size());
    const float left = row.left + theme.px(14.0F) * static_cast<float>(indent) * 0.5F;
    draw_text(indent == 0 ? theme.strong : theme.body,
              left,
              row.top,
              colour::kText,
              shortened(indent == 0 ? theme.strong : theme.body,
                        base::printable(std::string(line.substr(indent))),
                        row.right - left));
  }
}

void RecordingCompare::draw(const Rect& area, Context& context, const listen::Analysis& now) {
  follow(now);
  if (!work_ && text_.empty()) {
    draw_choice(area, context);
    return;
  }
  if (context.actions.offer(Key::kEscape, "Esc", work_ ? "stop" : "back")) {
    is_open_ = work_ != nullptr;
    work_.reset();
    return;
  }
  if (work_) {
    draw_waiting(area, context);
    return;
  }
  if (context.view.hides_answers) {
    draw_text(context.theme.title, area.left, area.top, colour::kText, "Answers are hidden");
    return;
  }
  if (context.actions.offer("C", "another")) {
    text_.clear();
    chooser_.type_path();
    return;
  }
  draw_text_page(area, context);
}

void RecordingCompare::describe(Facts& facts) const {
  facts.add("is_comparing", is_open_);
  facts.add("compare_is_typing", is_open_ && chooser_.has_focus());
  facts.add("compare_fault", fault_);
  facts.add("comparison", text_);
}

}  // namespace brink::panel
