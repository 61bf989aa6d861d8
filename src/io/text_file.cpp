#include "io/text_file.h"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"
#include "io/files.h"

namespace brink::io {
namespace {

[[noreturn]] void refuse(const std::string& path, int reason) {
  if (path == "-") {
    throw base::Error(
        fmt::format("standard input: cannot be read ({}).",
                    reason == EBADF ? "it is closed" : std::generic_category().message(reason)));
  }
  throw base::Error(fmt::format(
      "{}: cannot be read ({}).", base::printable(path), std::generic_category().message(reason)));
}

OpenFile open_text(const std::string& path) {
  OpenFile file(open_to_read(path));
  if (!file.is_open()) {
    refuse(path, errno);
  }
  // A device may never end, or wait for somebody to type.
  if (const auto facts = facts_of(file.number()); facts && facts->kind == FileKind::kDevice) {
    throw base::Error(fmt::format("{}: is a device; name a file.", base::printable(path)));
  }
  return file;
}

}  // namespace

std::string read_text_file(const std::string& path, std::size_t longest_bytes) {
  const bool is_stdin = path == "-";
  const OpenFile file = is_stdin ? OpenFile() : open_text(path);
  std::string text;
  std::array<char, 65536> buffer{};
  while (true) {
    const std::ptrdiff_t count =
        read_some(is_stdin ? kStdin : file.number(), buffer.data(), buffer.size());
    if (count < 0) {
      refuse(path, errno);
    }
    if (count == 0) {
      return text;
    }
    text.append(buffer.data(), static_cast<std::size_t>(count));
    if (text.size() > longest_bytes) {
      throw base::Error(fmt::format("{}: is longer than {} MiB, which no text of its kind is.",
                                    base::printable(path),
                                    longest_bytes >> 20U));
    }
  }
}

}  // namespace brink::io
