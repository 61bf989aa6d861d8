#include "io/replace_rule.h"

#include <fmt/format.h>
#include <sndfile.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <string_view>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"
#include "io/files.h"
#include "io/sound_header.h"

namespace brink::io {
namespace {

constexpr std::size_t kHeadBytes = 1024;

[[noreturn]] void refuse(const std::string& path, std::string_view why) {
  throw base::Error(fmt::format("{}: {}.", base::printable(path), why));
}

[[noreturn]] void refuse(const std::string& path, int reason) {
  refuse(path, fmt::format("it cannot be written ({})", std::generic_category().message(reason)));
}

bool is_same_file(const FileFacts& facts, const std::string& other) {
  const auto others = other == "-" ? facts_of(kStdin) : facts_of(other);
  return others && others->id == facts.id;
}

/// The first bytes of the file.
std::string head_of(int descriptor) {
  std::array<char, kHeadBytes> bytes{};
  const std::ptrdiff_t count = read_at(descriptor, bytes.data(), bytes.size(), 0);
  return {bytes.data(), static_cast<std::size_t>(std::max<std::ptrdiff_t>(count, 0))};
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
    const OpenFile book(open_to_look(path.substr(0, path.size() - ending.size())));
    return book.is_open() && is_book(head_of(book.number()));
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

void check_content(const std::string& path, const FileFacts& facts, const ReplaceRule& rule) {
  const OpenFile file(open_to_look(path));
  if (!file.is_open()) {
    refuse(path, "is there already and cannot be read, so that nobody knows what would be lost");
  }
  std::string beginning = head_of(file.number());
  if (is_book(beginning)) {
    refuse(path, "is a book, which this would replace; choose another name");
  }
  const bool is_sound =
      read_sound_header(file.number(), facts.bytes).container != SoundContainer::kUnknown;
  if (is_sound) {
    beginning = comment_of(file.number());
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

  const auto facts = facts_of(path);
  if (!facts) {
    if (errno != ENOENT) {
      refuse(path, errno);
    }
    return;
  }
  if (facts->kind == FileKind::kFolder) {
    refuse(path, EISDIR);
  }
  if (facts->kind != FileKind::kRegular) {
    return;
  }
  for (const std::string& input : rule.inputs) {
    if (is_same_file(*facts, input)) {
      refuse(path, "this command reads it, so it cannot write there; choose another name");
    }
  }
  if (!may_write(path)) {
    refuse(path, errno);
  }
  if (facts->bytes > 0) {
    check_content(path, *facts, rule);
  }
}

}  // namespace brink::io
