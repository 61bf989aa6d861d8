#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "base/background.h"

namespace brink::panel {

/// A text that is put together and written on a thread of its own, into a folder that is made when
/// missing, under a name that is free: no file is ever replaced. Says where it went. The window's
/// thread.
class WrittenFile {
 public:
  struct Place {
    std::string folder;
    std::string stem;       ///< without its number and extension
    std::string extension;  ///< with its dot
  };

  /// Nothing while one is being written.
  void start(const Place& place, std::function<std::string()> make, std::function<void()> on_news);
  /// Once a pass.
  void update();
  /// Of another thing from now on: nothing is said any more of the last one.
  void forget() noexcept;

  /// The newest that was written; empty: none.
  [[nodiscard]] const std::string& path() const noexcept { return path_; }

  /// Where it went, or why it could not be written; empty: nothing to say.
  [[nodiscard]] const std::string& words() const noexcept { return words_; }

 private:
  base::Background<std::string> writing_;
  bool is_forgotten_ = false;
  std::string path_;
  std::string words_;
};

/// What any file system takes as a name: small letters, digits and dashes of the text.
[[nodiscard]] std::string file_stem(std::string_view text);

}  // namespace brink::panel
