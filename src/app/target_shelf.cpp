#include "app/target_shelf.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

#include "app/target_choice.h"
#include "core/error.h"
#include "io/printable.h"

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
    shelf.push_back({target.name, load_target(target.name), ""});
  }
  for (const std::string& path : text_files(folder)) {
    ShelfTarget own{path, {}, ""};
    try {
      own.target = load_target(path);
      if (std::any_of(shelf.begin(), shelf.end(), [&](const ShelfTarget& other) {
            return other.target.name == own.target.name;
          })) {
        own.fault =
            fmt::format("{}: another target is named {} already; give this one another name.",
                        io::printable(path),
                        io::printable(own.target.name));
      }
    } catch (const core::Error& error) {
      own.fault = error.what();
    }
    shelf.push_back(std::move(own));
  }
  return shelf;
}

}  // namespace brink::app
