#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace brink::io {

/// A text file that appears whole or not at all. It is written beside `path` under a temporary
/// name; commit() moves it to its place. A link is followed. A device or pipe is written directly,
/// since there is nothing to replace. A sound file is never replaced. Throws base::Error with one
/// sentence when the place cannot be written, at the start if possible. [any, one at a time]
class WholeFile {
 public:
  explicit WholeFile(const std::string& path);
  /// Leaves nothing behind if commit() was not called.
  ~WholeFile();
  WholeFile(const WholeFile&) = delete;
  WholeFile& operator=(const WholeFile&) = delete;
  WholeFile(WholeFile&&) = delete;
  WholeFile& operator=(WholeFile&&) = delete;

  /// Writes more text. Throws base::Error when the disk does not take it.
  void append(std::string_view text);
  /// Puts the file in its place. Throws base::Error when that fails. Do not append after it.
  void commit();

 private:
  [[noreturn]] void refuse(int reason) const;
  void spare_recording() const;

  std::string path_;
  std::string temporary_;  ///< empty for a device
  int descriptor_ = -1;
};

/// Writes all of `text`. Returns false, with errno set, when that fails. Handles short writes and
/// interruptions.
[[nodiscard]] bool write_all(int descriptor, std::string_view text) noexcept;

}  // namespace brink::io
