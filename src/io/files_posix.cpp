#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <vector>

#include "io/files.h"
#include "io/paths.h"
#include "io/unfinished_files.h"

namespace brink::io {
namespace {

constexpr mode_t kForAll = 0666;
constexpr mode_t kForOwner = 0600;

FileFacts to_facts(const struct stat& facts) noexcept {
  FileKind kind = FileKind::kOther;
  if (S_ISREG(facts.st_mode)) {
    kind = FileKind::kRegular;
  } else if (S_ISDIR(facts.st_mode)) {
    kind = FileKind::kFolder;
  } else if (S_ISCHR(facts.st_mode) || S_ISBLK(facts.st_mode)) {
    kind = FileKind::kDevice;
  }
  return {kind, {facts.st_dev, facts.st_ino}, facts.st_size, facts.st_mtime};
}

/// False, with errno set, when it could not be read or written to its end.
bool copy_all(int from, int to) {
  std::vector<char> bytes(std::size_t{1} << 20U);
  while (true) {
    const ssize_t count = ::read(from, bytes.data(), bytes.size());
    if (count == 0) {
      return true;
    }
    if (count < 0 && errno == EINTR) {
      continue;
    }
    if (count < 0 || !write_all(to, {bytes.data(), static_cast<std::size_t>(count)})) {
      return false;
    }
  }
}

/// The file keeps its inode, and with it all its names. What could fail is done before its first
/// byte changes: the content is complete, the disk has given the room, and signals wait.
bool copy_into(const std::string& from_path, const std::string& to_path) {
  const OpenFile from(open_to_read(from_path));
  const OpenFile to(open_to_write(to_path));

  struct stat grown {};

  struct stat old {};

  if (!from.is_open() || !to.is_open() || ::fstat(from.number(), &grown) != 0 ||
      ::fstat(to.number(), &old) != 0) {
    return false;
  }
  const SignalsWait wait;
  if (grown.st_size > old.st_size) {
    const int reason = ::posix_fallocate(to.number(), old.st_size, grown.st_size - old.st_size);
    if (reason != 0) {
      (void)::ftruncate(to.number(), old.st_size);
      errno = reason;
      return false;
    }
  }
  return copy_all(from.number(), to.number()) && ::ftruncate(to.number(), grown.st_size) == 0;
}

}  // namespace

bool OpenFile::close() noexcept {
  const int number = release();
  return number < 0 || ::close(number) == 0;
}

int open_to_read(const std::string& path) noexcept {
  return ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
}

int open_to_look(const std::string& path) noexcept {
  return ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
}

int open_to_write(const std::string& path) noexcept {
  return ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
}

int create_file(const std::string& path, Readers readers) noexcept {
  return ::open(path.c_str(),
                O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC,
                readers == Readers::kAll ? kForAll : kForOwner);
}

int overwrite_private_file(const std::string& path) noexcept {
  OpenFile file(::open(path.c_str(), O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, kForOwner));
  const bool is_private = file.is_open() && ::fchmod(file.number(), kForOwner) == 0;
  return is_private ? file.release() : -1;
}

std::ptrdiff_t read_some(int file, void* bytes, std::size_t most) noexcept {
  ssize_t count = 0;
  do {
    count = ::read(file, bytes, most);
  } while (count < 0 && errno == EINTR);
  return count;
}

std::ptrdiff_t read_at(int file, void* bytes, std::size_t most, std::int64_t offset) noexcept {
  std::size_t done = 0;
  while (done < most) {
    const ssize_t count = ::pread(file,
                                  static_cast<char*>(bytes) + done,
                                  most - done,
                                  offset + static_cast<std::int64_t>(done));
    if (count < 0 && errno == EINTR) {
      continue;
    }
    if (count <= 0) {
      return done > 0 ? static_cast<std::ptrdiff_t>(done) : count;
    }
    done += static_cast<std::size_t>(count);
  }
  return static_cast<std::ptrdiff_t>(done);
}

bool write_all(int file, std::string_view text) noexcept {
  while (!text.empty()) {
    const ssize_t count = ::write(file, text.data(), text.size());
    if (count < 0 && errno != EINTR) {
      return false;
    }
    text.remove_prefix(count > 0 ? static_cast<std::size_t>(count) : 0);
  }
  return true;
}

std::int64_t seek(int file, std::int64_t offset, int whence) noexcept {
  return ::lseek(file, offset, whence);
}

std::optional<FileFacts> facts_of(const std::string& path) noexcept {
  struct stat facts {};

  return ::stat(path.c_str(), &facts) == 0 ? std::optional(to_facts(facts)) : std::nullopt;
}

std::optional<FileFacts> facts_of(int file) noexcept {
  struct stat facts {};

  return ::fstat(file, &facts) == 0 ? std::optional(to_facts(facts)) : std::nullopt;
}

bool may_write(const std::string& path) noexcept {
  return ::access(path.c_str(), W_OK) == 0;
}

void remove_file(const char* path) noexcept {
  ::unlink(path);
}

bool place_file(const std::string& from, const std::string& to) noexcept {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) {
    return true;
  }
  if (errno == EINVAL) {  // the file system knows no such rename
    errno = EEXIST;
  }
  return false;
}

bool replace_file(const std::string& from, const std::string& to) {
  struct stat old {};

  struct stat own {};

  if (::stat(to.c_str(), &old) == 0) {
    const bool is_owner_kept = ::stat(from.c_str(), &own) == 0 &&
                               ((own.st_uid == old.st_uid && own.st_gid == old.st_gid) ||
                                ::chown(from.c_str(), old.st_uid, old.st_gid) == 0);
    constexpr mode_t kPermissions = 07777;
    if (old.st_nlink > 1 || !is_owner_kept ||
        ::chmod(from.c_str(), old.st_mode & kPermissions) != 0) {
      return copy_into(from, to);
    }
  }
  return ::rename(from.c_str(), to.c_str()) == 0;
}

bool sync_file(int file) noexcept {
  return ::fsync(file) == 0 || errno == EINVAL || errno == ENOTSUP;
}

void sync_folder_of(const std::string& path) {
  const std::string folder = to_path(path).parent_path().string();
  const OpenFile opened(
      ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (opened.is_open()) {
    (void)::fsync(opened.number());
  }
}

}  // namespace brink::io
