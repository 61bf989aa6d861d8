#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace brink::io {

/// A text file that appears whole or not at all: it grows beside `path` under a temporary name and
/// takes its place in commit(). A link is followed; a device or pipe is written to directly, as
/// there is nothing to replace; a sound file is never replaced. Throws base::Error with one
/// sentence when the place cannot be written, at the start where possible. [any, one at a time]
class WholeFile {
 public:
  explicit WholeFile(const std::string& path);
  /// Without commit() nothing is left behind.
  ~WholeFile();
  WholeFile(const WholeFile&) = delete;
  WholeFile& operator=(const WholeFile&) = delete;
  WholeFile(WholeFile&&) = delete;
  WholeFile& operator=(WholeFile&&) = delete;

  void append(std::string_view text);
  void commit();

 private:
  [[noreturn]] void refuse(int reason) const;
  void spare_recording() const;

  std::string path_;
  std::string temporary_;  ///< empty for a device
  int descriptor_ = -1;
};

/// Writes all of `text`; false, with errno set, when that fails. Safe against short writes and
/// interruptions.
[[nodiscard]] bool write_all(int descriptor, std::string_view text) noexcept;

}  // namespace brink::io
