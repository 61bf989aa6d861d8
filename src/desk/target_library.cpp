#include "desk/target_library.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/paths.h"
#include "io/text_file.h"
#include "show/kept_target.h"

namespace brink::desk {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLongestTarget = 1U << 20U;

std::string names_at_hand() {
  std::string names;
  for (const cuts::Target& target : cuts::built_in_targets()) {
    names += (names.empty() ? "" : ", ") + target.name;
  }
  return names;
}

cuts::Target load_file(const std::string& path) {
  std::error_code error;
  // What is there and cannot be read has a reason of its own, which reading it will tell.
  if (std::filesystem::status(io::to_path(path), error).type() ==
      std::filesystem::file_type::not_found) {
    throw base::Error(fmt::format("--target {}: is no file and none of the targets at hand ({}).",
                                  base::printable(path),
                                  names_at_hand()));
  }
  const std::string text = io::read_text_file(path, kLongestTarget);
  cuts::Target target = cuts::parse_target(text, base::printable(path));
  if (cuts::parse_target(text, "").name.empty()) {
    target.name = io::to_path(path).stem().string();
    target.source_text = fmt::format("{}\nname = {}\n", text, target.name);  // lines keep numbers
  }
  return target;
}

std::vector<std::string> text_files(const std::string& folder) {
  std::vector<std::string> paths;
  std::error_code fault;
  fs::directory_iterator entry(io::to_path(folder), fault);
  for (; !fault && entry != fs::directory_iterator(); entry.increment(fault)) {
    if (entry->path().extension() == ".txt" && entry->is_regular_file(fault)) {
      paths.push_back(entry->path().string());
    }
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

}  // namespace

cuts::Target load_target(const std::string& name_or_path) {
  const auto at_hand = show::target_at_hand(name_or_path);
  return at_hand ? *at_hand : load_file(name_or_path);
}

std::string targets_folder(const std::string& settings_path) {
  return settings_path.empty() ? std::string()
                               : (io::to_path(settings_path).parent_path() / "targets").string();
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
                        base::printable(path),
                        base::printable(own.target.name));
      }
    } catch (const base::Error& error) {
      own.fault = error.what();
    }
    shelf.push_back(std::move(own));
  }
  return shelf;
}

}  // namespace brink::desk
