#include "io/text_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"

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

/// Closes what it opened; leaves standard input open.
class Descriptor {
 public:
  explicit Descriptor(const std::string& path)
      : value_(path == "-" ? STDIN_FILENO : ::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {
    if (value_ < 0) {
      refuse(path, errno);
    }
    if (value_ != STDIN_FILENO) {
      refuse_device(path);
    }
  }

  ~Descriptor() {
    if (value_ != STDIN_FILENO) {
      ::close(value_);
    }
  }

  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor(Descriptor&&) = delete;
  Descriptor& operator=(Descriptor&&) = delete;

  [[nodiscard]] int value() const noexcept { return value_; }

 private:
  /// A device may never end, or wait for somebody to type.
  void refuse_device(const std::string& path) const {
    struct stat facts {};

    if (::fstat(value_, &facts) == 0 && (S_ISCHR(facts.st_mode) || S_ISBLK(facts.st_mode))) {
      ::close(value_);
      throw base::Error(fmt::format("{}: is a device; name a file.", base::printable(path)));
    }
  }

  int value_;
};

}  // namespace

std::string read_text_file(const std::string& path, std::size_t longest_bytes) {
  const Descriptor descriptor(path);
  std::string text;
  std::array<char, 65536> buffer{};
  while (true) {
    const ssize_t count = ::read(descriptor.value(), buffer.data(), buffer.size());
    if (count < 0) {
      if (errno == EINTR) {
        continue;
      }
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
