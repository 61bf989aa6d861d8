#include "app/target_shelf.h"

#include <algorithm>
#include <filesystem>

#include "app/target_choice.h"
#include "core/error.h"

namespace brink::app {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> text_files(const std::string& folder) {
  std::vector<std::string> paths;
  std::error_code fault;
  fs::directory_iterator entry(folder, fault);
  for (; !fault && entry != fs::directory_iterator(); entry.increment(fault)) {
    if (entry->path().extension() == ".txt" && entry->is_regular_file(fault)) {
      paths.push_back(entry->path().string());
    }
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

}  // namespace

std::string targets_folder(const std::string& settings_path) {
  return settings_path.empty() ? std::string()
                               : (fs::path(settings_path).parent_path() / "targets").string();
}

std::vector<ShelfTarget> shelf_targets(const std::string& folder) {
  std::vector<ShelfTarget> shelf;
  for (const cuts::Target& target : cuts::built_in_targets()) {
    shelf.push_back({target.name, target, ""});
  }
  for (const std::string& path : text_files(folder)) {
    ShelfTarget& own = shelf.emplace_back();
    own.name_or_path = path;
    try {
      own.target = read_target(path);
    } catch (const std::exception& error) {
      own.fault = error.what();
    }
  }
  return shelf;
}

cuts::Target read_target(const std::string& name_or_path) {
  const cuts::Target* const at_hand = cuts::find_target(name_or_path);
  return at_hand != nullptr ? *at_hand : to_target(target_text(name_or_path));
}

std::string text_of(const cuts::Target& target) {
  return target.source_text.empty() ? target_text(target.name) : target.source_text;
}

}  // namespace brink::app
