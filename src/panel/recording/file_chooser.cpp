#include "panel/recording/file_chooser.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/printable.h"
#include "io/paths.h"
#include "panel/draw/draw.h"
#include "panel/draw/text_line.h"

namespace brink::panel {
namespace {

namespace fs = std::filesystem;

constexpr float kRowHeight = 28.0F;

}  // namespace

FileChooser::FileChooser() {
  std::error_code fault;
  show_folder(fs::current_path(fault).string());
}

void FileChooser::type_path() {
  if (list_.is_file) {
    show_folder(list_.folder.string());
  }
  wants_focus_ = has_focus_ = true;
}

void FileChooser::append(const std::vector<Press>& presses) {
  TextLine line(typed_.data());
  for (const Press& press : presses) {
    if (press.key == Key::kCharacter) {
      line.press(press);
    }
  }
  if (line.text() != typed_.data()) {
    set_text(line.text());
  }
}

void FileChooser::show_folder(const std::string& path) {
  set_text((io::to_path(path) / "").string());
}

void FileChooser::set_text(const std::string& text) {
  typed_.fill('\0');
  text.copy(typed_.data(), typed_.size() - 1);
  fresh_ = typed_.data();
}

/// The disk may sleep or be far away: it is asked on a thread of its own.
void FileChooser::follow_list(const std::function<void()>& on_news) {
  if (auto list = listing_.take()) {
    list_ = std::move(*list);
    // The first entry after the way back up.
    const bool has_way_up = !list_.entries.empty() && list_.entries.front().name == "..";
    row_ = has_way_up && list_.entries.size() > 1 ? 1 : 0;
  }
  const std::string text = typed_.data();
  if (text != list_.typed && !listing_.is_busy()) {
    listing_.start([text] { return list_folder(text); }, on_news);
  }
}

std::string FileChooser::chosen() const {
  return list_.entries.empty() || !is_listed() ? std::string()
                                               : list_.entries[static_cast<std::size_t>(row_)].name;
}

/// A whole path that was typed goes before the list; a folder is entered.
std::optional<std::string> FileChooser::take() {
  if (list_.entries.empty() || list_.is_file) {
    return list_.typed;
  }
  const FolderEntry& entry = list_.entries[static_cast<std::size_t>(row_)];
  if (!entry.is_folder) {
    return (list_.folder / io::to_path(entry.name)).string();
  }
  const fs::path next =
      entry.name == ".." ? list_.folder.parent_path() : list_.folder / io::to_path(entry.name);
  show_folder(next.string());
  wants_focus_ = has_focus_;
  return std::nullopt;
}

/// What was asked for while the folder was still being read, as soon as it is.
std::optional<std::string> FileChooser::take_due() {
  if (due_ && *due_ != typed_.data()) {
    due_.reset();  // the text went on
  }
  if (!due_ || !is_listed()) {
    return std::nullopt;
  }
  due_.reset();
  return take();
}

void FileChooser::draw_field(const Rect& area, const Theme& theme) {
  draw_card(area, theme, colour::kCardLit);
  if (!has_focus_) {
    draw_text(theme.body,
              area.left + theme.px(8.0F),
              area.middle_y() - 0.5F * theme.body->FontSize,
              colour::kText,
              base::printable(typed_.data()));
    fresh_.reset();
    return;
  }
  ImGui::SetCursorScreenPos(ImVec2(area.left, area.middle_y() - 0.5F * ImGui::GetFrameHeight()));
  ImGui::SetNextItemWidth(area.width());
  if (wants_focus_) {
    ImGui::SetKeyboardFocusHere();
    wants_focus_ = false;
  }
  // While it has the keys the field works on a copy of its own, which only a callback may change.
  const auto replace = [](ImGuiInputTextCallbackData* data) {
    auto& fresh = *static_cast<std::optional<std::string>*>(data->UserData);
    if (fresh) {
      data->DeleteChars(0, data->BufTextLen);
      data->InsertChars(0, fresh->c_str());
      fresh.reset();
    }
    return 0;
  };
  ImGui::InputText("##recording-path",
                   typed_.data(),
                   typed_.size(),
                   ImGuiInputTextFlags_CallbackAlways,
                   replace,
                   &fresh_);
}

void FileChooser::steer(Context& context) {
  if (context.view.overlay != Overlay::kNone) {
    return;
  }
  // Arrows choose from the list also while letters go into the field.
  for (const Press& press : context.input.presses) {
    row_ += press.key == Key::kDown ? 1 : press.key == Key::kUp ? -1 : 0;
  }
  row_ = std::clamp(row_, 0, std::max(static_cast<int>(list_.entries.size()) - 1, 0));
  context.actions.show("\u2191\u2193", "choose");
  if (context.actions.offer(Key::kEnter, "Enter", "open")) {
    due_ = typed_.data();
  }
  if (has_focus_) {
    if (!ImGui::GetIO().WantTextInput) {
      append(context.input.presses);  // the field takes letters from the next pass on
    }
    return;
  }
  if (context.actions.offer("O", "type a path")) {
    type_path();
    return;
  }
  if (context.actions.is_pressed(U'/')) {  // a path from the root is typed without O, too
    set_text("/");
    append(context.actions.take_after(U'/'));
    wants_focus_ = has_focus_ = true;
  }
}

bool FileChooser::draw_entries(Rect area, const Theme& theme) {
  const int shown = std::max(static_cast<int>(area.height() / theme.px(kRowHeight)), 1);
  const int count = static_cast<int>(list_.entries.size());
  const int first = std::clamp(row_ - shown / 2, 0, std::max(count - shown, 0));
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const Clip clip(area);
  bool is_taken = false;
  for (int i = first; i < std::min(first + shown, count); ++i) {
    const FolderEntry& entry = list_.entries[static_cast<std::size_t>(i)];
    const Rect row = area.take_top(theme.px(kRowHeight));
    const bool is_here = i == row_;
    if (row.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0)) {
      is_taken = is_here;  // the first click chooses
      row_ = i;
    }
    if (is_here) {
      draw_card(row, theme, colour::kGrid);
    }
    const ImU32 paint = entry.is_folder ? colour::kSky : colour::kText;
    draw_text(is_here ? theme.strong : theme.body,
              row.left + theme.px(10.0F),
              row.middle_y() - 0.5F * theme.body->FontSize,
              is_here ? colour::kYellow : paint,
              base::printable(entry.name) + (entry.is_folder ? "/" : ""));
  }
  return is_taken;
}

std::optional<std::string> FileChooser::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  follow_list(context.on_news);
  steer(context);
  std::optional<std::string> taken = take_due();
  follow_list(context.on_news);
  Rect rest = area;
  draw_text(theme.title, rest.left, rest.top, colour::kText, "Open a recording");
  rest.take_top(theme.px(38.0F));
  draw_field(rest.take_top(theme.px(34.0F)), theme);
  rest.take_top(theme.px(10.0F));
  const Rect foot = rest.take_bottom(theme.px(28.0F));
  draw_text(theme.body,
            foot.left,
            foot.top + theme.px(6.0F),
            colour::kQuiet,
            is_listed()
                ? "WAV, W64, FLAC, AIFF, CAF or Ogg. A file dropped onto the window opens too."
                : "Looking into the folder ...");
  if (list_.entries.empty() && is_listed()) {
    draw_text(theme.body, rest.left, rest.top, colour::kQuiet, "No such file here.");
  }
  if (draw_entries(rest, theme) && is_listed()) {
    due_ = typed_.data();
  }
  return taken;
}

}  // namespace brink::panel
