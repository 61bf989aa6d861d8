#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "base/background.h"

namespace brink::panel {

/// Makes a text and writes it to a file, on its own thread. The folder is made if it is missing.
/// The name is a free one, so no file is ever replaced. words() says where the file is. Only the
/// window's thread may call it.
class WrittenFile {
 public:
  struct Place {
    std::string folder;
    std::string stem;       ///< without its number and extension
    std::string extension;  ///< with its dot
  };

  /// Does nothing while a file is being written.
  void start(const Place& place, std::function<std::string()> make, std::function<void()> on_news);
  /// Call it once a pass.
  void update();
  /// Call it when something else is shown. The last file is then not mentioned any more.
  void forget() noexcept;

  /// Path of the newest file; empty: none.
  [[nodiscard]] const std::string& path() const noexcept { return path_; }

  /// Where the file is, or why it could not be written; empty: nothing to say.
  [[nodiscard]] const std::string& words() const noexcept { return words_; }

 private:
  base::Background<std::string> writing_;
  bool is_forgotten_ = false;
  std::string path_;
  std::string words_;
};

/// A file name that every file system accepts, made from the text: small letters, digits and
/// dashes.
[[nodiscard]] std::string file_stem(std::string_view text);

}  // namespace brink::panel
