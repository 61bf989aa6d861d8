#include "panel/recording/folder_list.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <string_view>
#include <system_error>

#include "base/printable.h"
#include "io/paths.h"

namespace brink::panel {

namespace fs = std::filesystem;

bool has_sound_name(const fs::path& path) {
  std::string ending = path.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char letter) {
    return static_cast<char>(std::tolower(letter));
  });
  static constexpr std::array<std::string_view, 11> kSounds{
      ".wav", ".flac", ".aif", ".aiff", ".aifc", ".rf64", ".w64", ".caf", ".ogg", ".oga", ".opus"};
  return std::find(kSounds.begin(), kSounds.end(), ending) != kSounds.end();
}

std::string file_name_words(const fs::path& path) {
  return base::printable(path.filename().string());
}

FolderList list_folder(const std::string& typed) {
  FolderList list;
  list.typed = typed;
  std::error_code fault;
  list.is_file = fs::is_regular_file(io::to_path(typed), fault);
  const fs::path path = io::to_path(typed);
  list.folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  const std::string beginning = path.filename().string();
  for (fs::directory_iterator entry(
           list.folder, fs::directory_options::skip_permission_denied, fault);
       !fault && entry != fs::directory_iterator() &&
       list.entries.size() < FolderList::kMostEntries;
       entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    std::error_code unknown;
    const bool is_folder = entry->is_directory(unknown);
    if (name.compare(0, beginning.size(), beginning) == 0 && name[0] != '.' &&
        (is_folder || has_sound_name(entry->path()))) {
      list.entries.push_back({name, is_folder});
    }
  }
  std::sort(
      list.entries.begin(), list.entries.end(), [](const FolderEntry& a, const FolderEntry& b) {
        return a.is_folder != b.is_folder ? a.is_folder : a.name < b.name;
      });
  if (beginning.empty() && list.folder.has_parent_path() &&
      list.folder != list.folder.parent_path()) {
    list.entries.insert(list.entries.begin(), {"..", true});
  }
  return list;
}

}  // namespace brink::panel
