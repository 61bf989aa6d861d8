#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "io/whole_file.h"

namespace CLI {  // NOLINT(readability-identifier-naming): theirs
class App;
}

namespace brink::cli {

/// One sentence to the user, on stderr: "brink: ...".
void say(std::string_view sentence) noexcept;

/// Where a command's data goes: stdout, or a file that appears whole or not at all.
class Output {
 public:
  /// An empty `path` means stdout. Throws base::Error when the file cannot be written or `rule`
  /// forbids it.
  explicit Output(const std::string& path, io::ReplaceRule rule = {});

  /// False when the reader of stdout has left, as `| head` does: nobody wants more, so stop
  /// quietly. Throws base::Error when the disk does not take it.
  [[nodiscard]] bool write(std::string_view text);

  /// The data is complete.
  void finish();
  /// For outputs that belong together: seal all, then finish all. Nothing for stdout.
  void seal();

 private:
  std::unique_ptr<io::WholeFile> file_;
};

/// Adds `--replace`, the user's word for a file that io::ReplaceRule does not know.
void add_replace_flag(CLI::App& command, bool& replaces);

}  // namespace brink::cli
