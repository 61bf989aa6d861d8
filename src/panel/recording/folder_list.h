#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace brink::panel {

struct FolderEntry {
  std::string name;
  bool is_folder = false;

  friend bool operator==(const FolderEntry&, const FolderEntry&) = default;
};

/// What a typed path leads to.
struct FolderList {
  static constexpr std::size_t kMostEntries = 5000;

  std::string typed;
  bool is_file = false;          ///< the path is a file's
  std::filesystem::path folder;  ///< that the path lies in
  /// Its folders, then its sound files, as far as they begin as the path ends; the way back up
  /// first.
  std::vector<FolderEntry> entries;
};

/// By its ending: WAV, W64, FLAC, AIFF, CAF or Ogg.
[[nodiscard]] bool has_sound_name(const std::filesystem::path& path);

/// The last part of a path, fit to be shown.
[[nodiscard]] std::string file_name_words(const std::filesystem::path& path);

/// Never throws for what the disk says; may take as long as the disk does.
[[nodiscard]] FolderList list_folder(const std::string& typed);

}  // namespace brink::panel
