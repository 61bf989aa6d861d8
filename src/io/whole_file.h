#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "io/files.h"
#include "io/replace_rule.h"
#include "io/unfinished_files.h"

namespace brink::io {

/// An output that appears whole or not at all: it grows beside `path` as an UnfinishedFile and
/// takes its place in commit(). What is replaced keeps its mode and owner. A symbolic link is
/// followed; a file that has several names (hard links), or whose owner cannot be kept, keeps its
/// inode: the finished content is copied into it, its room on the disk secured before. A device or
/// pipe is written to directly, as there is nothing to replace. Throws base::Error with one
/// sentence when the place cannot be written or the rule forbids it, at the start where possible.
/// [any, one at a time]
class WholeFile {
 public:
  /// Without a rule nothing but an empty file is replaced.
  explicit WholeFile(const std::string& path, ReplaceRule rule = {});
  /// Without commit() nothing is left behind.
  ~WholeFile() = default;
  WholeFile(const WholeFile&) = delete;
  WholeFile& operator=(const WholeFile&) = delete;
  WholeFile(WholeFile&&) = delete;
  WholeFile& operator=(WholeFile&&) = delete;

  /// As it was asked for.
  [[nodiscard]] const std::string& path() const noexcept { return path_; }

  /// For a library that writes by itself; open until seal().
  [[nodiscard]] int descriptor() const noexcept;

  void append(std::string_view text);
  /// The content is complete. For outputs that belong together: seal all of them, then commit all.
  void seal();
  /// Takes its place; seals before where that was not done.
  void commit();

 private:
  [[noreturn]] void refuse(int reason) const;

  std::string path_;
  std::string place_;  ///< where `path_` leads
  ReplaceRule rule_;
  std::optional<UnfinishedFile> growing_;  ///< none for a device
  OpenFile device_;
};

}  // namespace brink::io
