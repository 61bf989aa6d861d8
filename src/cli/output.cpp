#include "cli/output.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "base/error.h"
#include "cli/standard_streams.h"

namespace brink::cli {

void say(std::string_view sentence) noexcept {
  std::string line("brink: ");
  line.append(sentence).append("\n");
  if (!io::write_all(STDERR_FILENO, line)) {
    return;  // nobody is left to be told
  }
}

Output::Output(const std::string& path)
    : file_(path.empty() ? nullptr : std::make_unique<io::WholeFile>(path)) {
  if (!file_ && !has_stdout()) {
    throw base::Error("stdout is closed, so there is nowhere to write; open it again.");
  }
}

bool Output::write(std::string_view text) {
  if (file_) {
    file_->append(text);
    return true;
  }
  if (io::write_all(STDOUT_FILENO, text)) {
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

}  // namespace brink::cli
