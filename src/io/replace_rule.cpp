#include "io/replace_rule.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sndfile.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <string_view>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"
#include "io/sound_header.h"

namespace brink::io {
namespace {

constexpr std::size_t kHeadBytes = 1024;

/// An open file, closed at the end of the block.
class Reading {
 public:
  explicit Reading(const std::string& path)
      : descriptor_(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {}

  ~Reading() {
    if (descriptor_ >= 0) {
      ::close(descriptor_);
    }
  }

  Reading(const Reading&) = delete;
  Reading& operator=(const Reading&) = delete;
  Reading(Reading&&) = delete;
  Reading& operator=(Reading&&) = delete;

  [[nodiscard]] int descriptor() const noexcept { return descriptor_; }

 private:
  int descriptor_;
};

[[noreturn]] void refuse(const std::string& path, std::string_view why) {
  throw base::Error(fmt::format("{}: {}.", base::printable(path), why));
}

[[noreturn]] void refuse(const std::string& path, int reason) {
  refuse(path, fmt::format("it cannot be written ({})", std::generic_category().message(reason)));
}

bool is_same_file(const struct stat& facts, const std::string& other) {
  struct stat others {};

  const int status = other == "-" ? ::fstat(STDIN_FILENO, &others) : ::stat(other.c_str(), &others);
  return status == 0 && others.st_dev == facts.st_dev && others.st_ino == facts.st_ino;
}

/// The first bytes of the file.
std::string head_of(int descriptor) {
  std::array<char, kHeadBytes> bytes{};
  const ssize_t count = ::pread(descriptor, bytes.data(), bytes.size(), 0);
  return {bytes.data(), static_cast<std::size_t>(std::max<ssize_t>(count, 0))};
}

/// https://www.sqlite.org/fileformat.html, sections 1.3 and 4.1
bool is_book(std::string_view head) {
  constexpr std::string_view kDatabase("SQLite format 3\0", 16);
  constexpr std::string_view kLog("\x37\x7f\x06", 3);
  return head.starts_with(kDatabase) || head.starts_with(kLog);
}

/// A name that SQLite or brink takes for a file beside a book.
bool is_beside_book(const std::string& path) {
  constexpr std::array<std::string_view, 4> kEndings{"-wal", "-shm", "-journal", ".lock"};
  return std::any_of(kEndings.begin(), kEndings.end(), [&path](std::string_view ending) {
    if (!path.ends_with(ending)) {
      return false;
    }
    const Reading book(path.substr(0, path.size() - ending.size()));
    return book.descriptor() >= 0 && is_book(head_of(book.descriptor()));
  });
}

/// The comment in a sound file's header; empty when there is none.
std::string comment_of(int descriptor) {
  SF_INFO info{};
  SNDFILE* const file = sf_open_fd(descriptor, SFM_READ, &info, SF_FALSE);
  if (file == nullptr) {
    return {};
  }
  const char* const comment = sf_get_string(file, SF_STR_COMMENT);
  std::string text = comment == nullptr ? "" : comment;
  sf_close(file);
  return text;
}

void check_content(const std::string& path, const struct stat& facts, const ReplaceRule& rule) {
  const Reading file(path);
  if (file.descriptor() < 0) {
    refuse(path, "is there already and cannot be read, so that nobody knows what would be lost");
  }
  std::string beginning = head_of(file.descriptor());
  if (is_book(beginning)) {
    refuse(path, "is a book, which this would replace; choose another name");
  }
  const bool is_sound =
      read_sound_header(file.descriptor(), facts.st_size).container != SoundContainer::kUnknown;
  if (is_sound) {
    beginning = comment_of(file.descriptor());
  }
  const bool is_own = std::any_of(
      rule.own_beginnings.begin(), rule.own_beginnings.end(), [&beginning](const auto& own) {
        return !own.empty() && beginning.starts_with(own);
      });
  if (is_own) {
    return;
  }
  if (is_sound) {
    refuse(path, "is a recording, which this would replace; choose another name");
  }
  if (!rule.replaces_others) {
    refuse(path,
           "is there already and is not known as an earlier output of this command; choose another "
           "name, or replace it with --replace");
  }
}

}  // namespace

void check_replaceable(const std::string& path, const ReplaceRule& rule) {
  if (is_beside_book(path)) {
    refuse(path, "belongs to the book beside it; choose another name");
  }

  struct stat facts {};

  if (::stat(path.c_str(), &facts) != 0) {
    if (errno != ENOENT) {
      refuse(path, errno);
    }
    return;
  }
  if (S_ISDIR(facts.st_mode)) {
    refuse(path, EISDIR);
  }
  if (!S_ISREG(facts.st_mode)) {
    return;
  }
  for (const std::string& input : rule.inputs) {
    if (is_same_file(facts, input)) {
      refuse(path, "this command reads it, so it cannot write there; choose another name");
    }
  }
  if (::access(path.c_str(), W_OK) != 0) {
    refuse(path, errno);
  }
  if (facts.st_size > 0) {
    check_content(path, facts, rule);
  }
}

}  // namespace brink::io
