#include "io/whole_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"

namespace brink::io {
namespace {

namespace fs = std::filesystem;

/// Where a chain of symbolic links leads, also when nothing is there yet.
std::string end_of_links(const std::string& path) {
  constexpr int kMostLinks = 40;  // as the system has it
  fs::path end(path);
  std::error_code error;
  for (int link = 0; link < kMostLinks && fs::is_symlink(fs::symlink_status(end, error)); ++link) {
    const fs::path next = fs::read_symlink(end, error);
    end = next.is_absolute() ? next : end.parent_path() / next;
  }
  return end.string();
}

/// Opened again by name, for reading or writing.
class Descriptor {
 public:
  Descriptor(const std::string& path, int how) : number_(::open(path.c_str(), how | O_CLOEXEC)) {}

  ~Descriptor() {
    if (number_ >= 0) {
      ::close(number_);
    }
  }

  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor(Descriptor&&) = delete;
  Descriptor& operator=(Descriptor&&) = delete;

  [[nodiscard]] int number() const noexcept { return number_; }

 private:
  int number_;
};

/// False, with errno set, when it could not be read or written to its end.
bool copy_all(int from, int to) {
  std::vector<char> bytes(std::size_t{1} << 20U);
  while (true) {
    const ssize_t count = ::read(from, bytes.data(), bytes.size());
    if (count == 0) {
      return true;
    }
    if (count < 0 || !write_all(to, {bytes.data(), static_cast<std::size_t>(count)})) {
      return false;
    }
  }
}

}  // namespace

bool write_all(int descriptor, std::string_view text) noexcept {
  while (!text.empty()) {
    const ssize_t count = ::write(descriptor, text.data(), text.size());
    if (count < 0 && errno != EINTR) {
      return false;
    }
    text.remove_prefix(count > 0 ? static_cast<std::size_t>(count) : 0);
  }
  return true;
}

WholeFile::WholeFile(const std::string& path, ReplaceRule rule)
    : path_(path), place_(end_of_links(path)), rule_(std::move(rule)) {
  check_replaceable(path_, rule_);
  std::error_code error;
  const fs::file_status status = fs::status(path_, error);
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    device_ = ::open(path_.c_str(), O_WRONLY | O_CLOEXEC);
  } else {
    growing_.emplace(place_);
  }
  if (descriptor() < 0) {
    refuse(errno);
  }
}

WholeFile::~WholeFile() {
  if (device_ >= 0) {
    ::close(device_);
  }
}

int WholeFile::descriptor() const noexcept {
  return growing_ ? growing_->descriptor() : device_;
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
  const bool is_taken = growing_ ? growing_->close() : ::close(std::exchange(device_, -1)) == 0;
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
  // A file that came there since the start was asked about by nobody.
  const bool is_placed =
      ::renameat2(AT_FDCWD, growing_->path().c_str(), AT_FDCWD, place_.c_str(), RENAME_NOREPLACE) ==
      0;
  if (!is_placed) {
    // EINVAL: the file system knows no such rename.
    if (errno != EEXIST && errno != EINVAL) {
      refuse(errno);
    }
    replace();
  }
}

void WholeFile::replace() {
  check_replaceable(place_, rule_);

  struct stat old {};

  struct stat own {};

  if (::stat(place_.c_str(), &old) == 0) {
    const std::string& grown = growing_->path();
    const bool is_owner_kept = ::stat(grown.c_str(), &own) == 0 &&
                               ((own.st_uid == old.st_uid && own.st_gid == old.st_gid) ||
                                ::chown(grown.c_str(), old.st_uid, old.st_gid) == 0);
    constexpr mode_t kPermissions = 07777;
    if (old.st_nlink > 1 || !is_owner_kept ||
        ::chmod(grown.c_str(), old.st_mode & kPermissions) != 0) {
      copy_into_place();
      return;
    }
  }
  if (::rename(growing_->path().c_str(), place_.c_str()) != 0) {
    refuse(errno);
  }
}

/// The file keeps its inode, and with it all its names. What could fail is done before its first
/// byte changes: the content is complete, the disk has given the room, and signals wait.
void WholeFile::copy_into_place() const {
  const Descriptor from(growing_->path(), O_RDONLY);
  const Descriptor to(place_, O_WRONLY);

  struct stat grown {};

  struct stat old {};

  if (from.number() < 0 || to.number() < 0 || ::fstat(from.number(), &grown) != 0 ||
      ::fstat(to.number(), &old) != 0) {
    refuse(errno);
  }
  const SignalsWait wait;
  if (grown.st_size > old.st_size) {
    const int reason = ::posix_fallocate(to.number(), old.st_size, grown.st_size - old.st_size);
    if (reason != 0) {
      (void)::ftruncate(to.number(), old.st_size);
      refuse(reason);
    }
  }
  if (!copy_all(from.number(), to.number()) || ::ftruncate(to.number(), grown.st_size) != 0) {
    refuse(errno);
  }
}

}  // namespace brink::io
