#include "cli/output.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cerrno>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "cli/standard_streams.h"

namespace brink::cli {

void say(std::string_view sentence) noexcept {
  const std::string line = "brink: " + base::printable_lines(sentence) + "\n";
  if (!io::write_all(io::kStderr, line)) {
    return;  // nobody is left to be told
  }
}

Output::Output(const std::string& path, io::ReplaceRule rule)
    : file_(path.empty() ? nullptr : std::make_unique<io::WholeFile>(path, std::move(rule))) {
  if (!file_ && !has_stdout()) {
    throw base::Error("stdout is closed, so there is nowhere to write; open it again.");
  }
}

bool Output::write(std::string_view text) {
  const int descriptor = file_ ? file_->descriptor() : io::kStdout;
  std::string shown;
  if (is_terminal(descriptor)) {
    shown = base::printable_lines(text);  // a file and a pipe get every byte
    text = shown;
  }
  if (file_) {
    file_->append(text);
    return true;
  }
  if (io::write_all(io::kStdout, text)) {
    return true;
  }
  if (errno == EPIPE) {
    return false;
  }
  throw base::Error(
      fmt::format("the output cannot be written ({}).", std::generic_category().message(errno)));
}

void Output::finish() {
  if (file_) {
    file_->commit();
  }
}

void Output::seal() {
  if (file_) {
    file_->seal();
  }
}

void add_replace_flag(CLI::App& command, bool& replaces) {
  command.add_flag("--replace",
                   replaces,
                   "Replace a file that is there and is not known as an earlier output of this "
                   "command; never a book, a recording or what the command reads");
}

}  // namespace brink::cli
