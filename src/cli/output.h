#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "io/whole_file.h"

namespace brink::cli {

/// One sentence to the user, on stderr: "brink: ...".
void say(std::string_view sentence) noexcept;

/// Where a command's data goes: stdout, or a file that appears whole or not at all.
class Output {
 public:
  /// An empty `path` means stdout. Throws base::Error when the file cannot be written.
  explicit Output(const std::string& path);

  /// False when the reader of stdout has left, as `| head` does: nobody wants more, so stop
  /// quietly. Throws base::Error when the disk does not take it.
  [[nodiscard]] bool write(std::string_view text);

  /// The data is complete.
  void finish();

 private:
  std::unique_ptr<io::WholeFile> file_;
};

}  // namespace brink::cli
