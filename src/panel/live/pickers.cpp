#include "panel/live/pickers.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "desk/obey_show.h"
#include "io/paths.h"
#include "io/process.h"
#include "panel/draw/choice_rows.h"
#include "panel/draw/draw.h"
#include "panel/overlays.h"

namespace brink::panel {
namespace {

/// A device that was plugged in appears within about two seconds.
constexpr std::chrono::milliseconds kAskAgain(1500);

}  // namespace

void InputPicker::open(std::function<void()> on_news) {
  on_news_ = std::move(on_news);
  inputs_.clear();
  fault_.clear();
  has_answer_ = false;
  row_ = 0;
  marked_.clear();
  ask();
}

void InputPicker::ask() {
  asked_at_ = std::chrono::steady_clock::now();
  asked_.start([] { return io::list_inputs(io::this_program()); }, on_news_);
}

void InputPicker::take_list() {
  try {
    if (auto inputs = asked_.take()) {
      has_answer_ = true;
      fault_.clear();
      follow(std::move(*inputs));
    }
  } catch (const base::Error& error) {
    has_answer_ = true;
    fault_ = error.what();
    follow({});
  }
  if (!asked_.is_busy() && std::chrono::steady_clock::now() - asked_at_ > kAskAgain) {
    ask();  // what was plugged in meanwhile appears, and what is gone disappears
  }
}

/// The arrows stay at the same device. If it is gone, they are at the stage.
void InputPicker::follow(std::vector<io::InputDevice> inputs) {
  const std::string at = row_ == 0 ? std::string() : chosen().label();
  inputs_ = std::move(inputs);
  const auto same = std::find_if(
      inputs_.begin(), inputs_.end(), [&](const auto& input) { return input.label() == at; });
  const int row = same == inputs_.end() ? 0 : static_cast<int>(same - inputs_.begin()) + 1;
  if (marked_row_ == row_ && row > 0) {
    marked_row_ = row;  // its marks go with it
  }
  row_ = row;
}

const io::InputDevice& InputPicker::chosen() const {
  return inputs_[static_cast<std::size_t>(row_ - 1)];
}

/// Those that were marked; else the one that the arrows are at.
std::vector<int> InputPicker::channels() const {
  return marked_.empty() ? std::vector<int>{channel_} : marked_;
}

void InputPicker::steer_channels(Context& context) {
  if (marked_row_ != row_) {
    marked_row_ = row_;
    marked_.clear();
  }
  const int most = row_ == 0 ? 1 : chosen().channels;
  channel_ +=
      context.actions.count_presses(Key::kRight) - context.actions.count_presses(Key::kLeft);
  channel_ = std::clamp(channel_, 1, std::max(most, 1));
  if (row_ > 0 && context.actions.is_pressed(U' ')) {
    const auto at = std::lower_bound(marked_.begin(), marked_.end(), channel_);
    if (at != marked_.end() && *at == channel_) {
      marked_.erase(at);
    } else {
      marked_.insert(at, channel_);
    }
  }
}

std::string InputPicker::words() const {
  if (!has_answer_) {
    return "Looking for devices ...";
  }
  if (!fault_.empty()) {
    return fault_;
  }
  if (!marked_.empty()) {
    return fmt::format(
        "Enter listens to channel{} {}. Space marks channel {} or takes its mark away.",
        marked_.size() == 1 ? "" : "s",
        fmt::join(marked_, ", "),
        channel_);
  }
  if (inputs_.empty()) {
    return "No sound input was found: connect a device or start the sound server. It appears here "
           "by itself.";
  }
  return row_ == 0 ? "Arrows choose, Enter takes. The outputs stay silent: brink only listens."
                   : "Arrows choose, Enter takes. Space marks a channel, to listen to several at "
                     "once. The outputs stay silent: brink only listens.";
}

std::string InputPicker::channel_words(const io::InputDevice& input, bool is_here) const {
  if (!is_here) {
    return fmt::format("{}{} channel{}",
                       input.is_default ? "default, " : "",
                       input.channels,
                       input.channels == 1 ? "" : "s");
  }
  const bool is_marked = std::binary_search(marked_.begin(), marked_.end(), channel_);
  return fmt::format(
      "\u2190 channel {} of {}{} \u2192", channel_, input.channels, is_marked ? ", marked" : "");
}

void InputPicker::choose(Context& context) {
  if (row_ == 0) {
    context.desk.use_stage(static_cast<std::uint64_t>(context.desk.source_count()) + 1);
  } else {
    io::CaptureConfig config;
    config.input = chosen().label();
    config.taps = channels();
    context.desk.use_input(config);
  }
  context.view.overlay = Overlay::kNone;
}

void InputPicker::describe(Facts& facts) const {
  facts.add("is_asking", !has_answer_);
  facts.add("input_count", static_cast<double>(inputs_.size()));
  facts.add("input", row_ == 0 ? std::string() : chosen().label());
  facts.add("channel", static_cast<double>(channel_));
  facts.add("words", words());
  facts.add("marked", fmt::format("{}", fmt::join(marked_, ", ")));
}

void InputPicker::draw(const Rect& area, Context& context) {
  take_list();
  const Theme& theme = context.theme;
  Rect inner = draw_overlay_page(area, theme, 760.0F, 440.0F, "Listen to");
  const int count = 1 + static_cast<int>(inputs_.size());
  bool is_chosen = steer_choice(context.actions, count, row_);
  steer_channels(context);
  Rect foot = inner.take_bottom(theme.px(48.0F));
  const int fitting = std::max(static_cast<int>(inner.height() / choice_row_height(theme)), 1);
  const int first = std::clamp(row_ - fitting / 2, 0, std::max(count - fitting, 0));
  for (int row = first; row < std::min(first + fitting, count); ++row) {
    const bool is_here = row == row_;
    std::string left = "The simulated stage, a new one";
    std::string right = "nothing sounds";
    if (row > 0) {
      const io::InputDevice& input = inputs_[static_cast<std::size_t>(row - 1)];
      left = base::printable(input.label());
      right = channel_words(input, is_here);
    }
    if (draw_choice(inner, theme, is_here, left, right)) {
      is_chosen = is_chosen || is_here;
      row_ = row;
    }
  }
  draw_wrapped(theme.body, foot.left, foot.top, foot.width(), colour::kQuiet, words());
  if (is_chosen) {
    choose(context);
  }
}

void TargetPicker::open(const std::string& folder) {
  folder_ = folder;
  shelf_ = desk::shelf_targets(folder_);
  row_ = std::min(row_, static_cast<int>(shelf_.size()) - 1);
}

void TargetPicker::choose(Context& context) {
  const desk::ShelfTarget& chosen = shelf_[static_cast<std::size_t>(row_)];
  if (!chosen.fault.empty()) {
    return;  // it is said below the rows
  }
  desk::choose_target(context.show.flow(), context.desk, chosen.target);
  context.settings.now().target = chosen.name_or_path;
  context.view.overlay = Overlay::kNone;
}

std::string TargetPicker::words() const {
  const std::string& fault = shelf_[static_cast<std::size_t>(row_)].fault;
  if (!fault.empty()) {
    return fault;
  }
  return folder_.empty() ? "Arrows choose, Enter takes."
                         : fmt::format(
                               "Arrows choose, Enter takes. Your own equaliser: a text file "
                               "in {} (docs/targets.md says what is in it).",
                               base::printable(folder_));
}

void TargetPicker::describe(Facts& facts) const {
  facts.add("target_count", static_cast<double>(shelf_.size()));
  facts.add("words", shelf_.empty() ? std::string() : words());
}

void TargetPicker::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect inner = draw_overlay_page(area, theme, 760.0F, 440.0F, "Cuts are fitted to");
  const int count = static_cast<int>(shelf_.size());
  bool is_chosen = steer_choice(context.actions, count, row_);
  const Rect foot = inner.take_bottom(theme.px(48.0F));
  const int fitting = std::max(static_cast<int>(inner.height() / choice_row_height(theme)), 1);
  const int first = std::clamp(row_ - fitting / 2, 0, std::max(count - fitting, 0));
  for (int row = first; row < std::min(first + fitting, count); ++row) {
    const desk::ShelfTarget& one = shelf_[static_cast<std::size_t>(row)];
    const bool is_own = cuts::find_target(one.name_or_path) == nullptr;
    const std::string file = io::to_path(one.name_or_path).filename().string();
    const std::string left = !one.fault.empty()         ? file + ": is no target"
                             : one.target.about.empty() ? file
                                                        : one.target.about;
    if (draw_choice(inner,
                    theme,
                    row == row_,
                    shortened(theme.body, base::printable(left), 0.6F * inner.width()),
                    shortened(theme.body,
                              base::printable(one.target.name) + (is_own ? ", your own" : ""),
                              0.35F * inner.width()))) {
      is_chosen = is_chosen || row == row_;
      row_ = row;
    }
  }
  draw_wrapped(theme.body, foot.left, foot.top, foot.width(), colour::kQuiet, words());
  if (is_chosen) {
    choose(context);
  }
}

}  // namespace brink::panel
