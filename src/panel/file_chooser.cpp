#include "panel/file_chooser.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <string_view>

#include "io/printable.h"
#include "panel/draw.h"

namespace brink::panel {
namespace {

namespace fs = std::filesystem;

constexpr float kRowHeight = 28.0F;
constexpr std::size_t kMostEntries = 5000;

bool is_sound(const fs::path& path) {
  std::string ending = path.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char letter) {
    return static_cast<char>(std::tolower(letter));
  });
  static constexpr std::array<std::string_view, 6> kSounds{
      ".wav", ".flac", ".aif", ".aiff", ".aifc", ".rf64"};
  return std::find(kSounds.begin(), kSounds.end(), ending) != kSounds.end();
}

}  // namespace

FileChooser::FileChooser() {
  std::error_code fault;
  set_text((fs::current_path(fault) / "").string());
}

void FileChooser::set_text(const std::string& text) {
  typed_.fill('\0');
  text.copy(typed_.data(), typed_.size() - 1);
  fresh_ = typed_.data();
}

/// The folder of the typed path: folders first, then sound files that begin as the path ends.
void FileChooser::list_folder() {
  const std::string text = typed_.data();
  if (text == listed_for_) {
    return;
  }
  listed_for_ = text;
  row_ = 0;
  const fs::path path(text);
  folder_ = path.has_parent_path() ? path.parent_path() : fs::path(".");
  const std::string beginning = path.filename().string();
  entries_.clear();
  std::error_code fault;
  for (fs::directory_iterator entry(folder_, fs::directory_options::skip_permission_denied, fault);
       !fault && entry != fs::directory_iterator() && entries_.size() < kMostEntries;
       entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    std::error_code unknown;
    const bool is_folder = entry->is_directory(unknown);
    if (name.compare(0, beginning.size(), beginning) == 0 && name[0] != '.' &&
        (is_folder || is_sound(entry->path()))) {
      entries_.push_back({name, is_folder});
    }
  }
  std::sort(entries_.begin(), entries_.end(), [](const Entry& a, const Entry& b) {
    return a.is_folder != b.is_folder ? a.is_folder : a.name < b.name;
  });
  if (beginning.empty() && folder_.has_parent_path() && folder_ != folder_.parent_path()) {
    entries_.insert(entries_.begin(), {"..", true});
    // The first thing that is not the way back up.
    row_ = entries_.size() > 1 ? 1 : 0;
  }
}

std::string FileChooser::chosen() const {
  return entries_.empty() ? std::string() : entries_[static_cast<std::size_t>(row_)].name;
}

/// A whole path that was typed goes before the list; a folder is entered.
std::optional<std::string> FileChooser::take() {
  const std::string text = typed_.data();
  std::error_code fault;
  if (entries_.empty() || fs::is_regular_file(text, fault)) {
    return text;
  }
  const Entry& entry = entries_[static_cast<std::size_t>(row_)];
  if (!entry.is_folder) {
    return (folder_ / entry.name).string();
  }
  set_text(((entry.name == ".." ? folder_.parent_path() : folder_ / entry.name) / "").string());
  wants_focus_ = has_focus_;
  return std::nullopt;
}

void FileChooser::draw_field(const Rect& area, const Theme& theme) {
  draw_card(area, theme, colour::kCardLit);
  if (!has_focus_) {
    draw_text(theme.body,
              area.left + theme.px(8.0F),
              area.middle_y() - 0.5F * theme.body->FontSize,
              colour::kText,
              io::printable(typed_.data()));
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

std::optional<std::string> FileChooser::steer(Context& context) {
  if (context.view.overlay != Overlay::kNone) {
    return std::nullopt;
  }
  // Arrows choose from the list also while letters go into the field.
  for (const Press& press : context.input.presses) {
    row_ += press.key == Key::kDown ? 1 : press.key == Key::kUp ? -1 : 0;
  }
  row_ = std::clamp(row_, 0, std::max(static_cast<int>(entries_.size()) - 1, 0));
  context.actions.show("\u2191\u2193", "choose");
  std::optional<std::string> taken;
  if (context.actions.offer(Key::kEnter, "Enter", "open")) {
    taken = take();
  }
  if (!has_focus_ && context.actions.offer("O", "type a path")) {
    type_path();
  }
  return taken;
}

bool FileChooser::draw_entries(Rect area, const Theme& theme) {
  const int shown = std::max(static_cast<int>(area.height() / theme.px(kRowHeight)), 1);
  const int count = static_cast<int>(entries_.size());
  const int first = std::clamp(row_ - shown / 2, 0, std::max(count - shown, 0));
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const Clip clip(area);
  if (entries_.empty()) {
    draw_text(theme.body, area.left, area.top, colour::kQuiet, "No such file here.");
  }
  bool is_taken = false;
  for (int i = first; i < std::min(first + shown, count); ++i) {
    const Entry& entry = entries_[static_cast<std::size_t>(i)];
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
              io::printable(entry.name) + (entry.is_folder ? "/" : ""));
  }
  return is_taken;
}

std::optional<std::string> FileChooser::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  list_folder();
  std::optional<std::string> taken = steer(context);
  list_folder();
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
            "WAV, FLAC or AIFF. A file dropped onto the window opens too.");
  if (draw_entries(rest, theme)) {
    taken = take();
  }
  return taken;
}

}  // namespace brink::panel
