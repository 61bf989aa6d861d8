#include "io/whole_file.h"

#include <fmt/format.h>

#include <cerrno>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/paths.h"

namespace brink::io {
namespace {

namespace fs = std::filesystem;

/// Where a chain of symbolic links leads, also when nothing is there yet.
std::string end_of_links(const std::string& path) {
  constexpr int kMostLinks = 40;  // as the system has it
  fs::path end = to_path(path);
  std::error_code error;
  for (int link = 0; link < kMostLinks && fs::is_symlink(fs::symlink_status(end, error)); ++link) {
    const fs::path next = fs::read_symlink(end, error);
    end = next.is_absolute() ? next : end.parent_path() / next;
  }
  return end.string();
}

}  // namespace

WholeFile::WholeFile(const std::string& path, ReplaceRule rule)
    : path_(path), place_(end_of_links(path)), rule_(std::move(rule)) {
  check_replaceable(path_, rule_);
  std::error_code error;
  const fs::file_status status = fs::status(to_path(path_), error);
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    device_ = OpenFile(open_to_write(path_));
  } else {
    growing_.emplace(place_);
  }
  if (descriptor() < 0) {
    refuse(errno);
  }
}

int WholeFile::descriptor() const noexcept {
  return growing_ ? growing_->descriptor() : device_.number();
}

void WholeFile::refuse(int reason) const {
  throw base::Error(fmt::format("{}: it cannot be written ({}).",
                                base::printable(path_),
                                std::generic_category().message(reason)));
}

void WholeFile::append(std::string_view text) {
  if (!write_all(descriptor(), text)) {
    refuse(errno);
  }
}

void WholeFile::seal() {
  // On some file systems the disk's refusal shows only here.
  const bool is_taken = growing_ ? growing_->close() : device_.close();
  if (!is_taken) {
    refuse(errno);
  }
}

void WholeFile::commit() {
  if (descriptor() >= 0) {
    seal();
  }
  if (!growing_) {
    return;
  }
  if (!place_file(growing_->path(), place_)) {
    if (errno != EEXIST) {
      refuse(errno);
    }
    // A file that came there since the start was asked about by nobody.
    check_replaceable(place_, rule_);
    if (!replace_file(growing_->path(), place_)) {
      refuse(errno);
    }
  }
  sync_folder_of(place_);
}

}  // namespace brink::io
