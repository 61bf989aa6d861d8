#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_lock.h"

namespace brink::io {
namespace {

/// A file of its own: closing any descriptor of the book itself would drop SQLite's locks on it.
std::string lock_path(const std::string& book_path) {
  return book_path + ".lock";
}

struct flock whole_file() {
  struct flock whole {};

  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  return whole;
}

/// Why a lock was not given: somebody else has it.
bool is_taken(int reason) {
  return reason == EAGAIN || reason == EACCES || reason == EINTR;
}

}  // namespace

BookLock::~BookLock() {
  if (descriptor_ >= 0) {
    ::close(descriptor_);
  }
}

bool BookLock::take(const std::string& book_path) {
  if (is_ours_) {
    return true;
  }
  if (descriptor_ < 0) {
    const std::string path = lock_path(book_path);
    descriptor_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, S_IRUSR | S_IWUSR);
    if (descriptor_ < 0) {
      const int reason = errno;
      throw base::Error(fmt::format(
          "{}: cannot be written ({}); make its folder writable or choose another book.",
          base::printable(book_path),
          std::generic_category().message(reason)));
    }
  }

  struct flock whole = whole_file();

  is_ours_ = ::fcntl(descriptor_, F_OFD_SETLK, &whole) == 0;
  if (!is_ours_ && !is_taken(errno)) {
    throw base::Error(no_locks_sentence(book_path));
  }
  return is_ours_;
}

bool are_locks_refused(const std::string& book_path) noexcept {
  const int descriptor = ::open(lock_path(book_path).c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) {
    return false;
  }
  struct flock whole = whole_file();

  whole.l_type = F_RDLCK;
  const bool is_refused = ::fcntl(descriptor, F_OFD_GETLK, &whole) != 0 && !is_taken(errno);
  ::close(descriptor);
  return is_refused;
}

std::string no_locks_sentence(const std::string& book_path) {
  return fmt::format(
      "{}: its file system gives no locks, so two programs could spoil it; choose a book on a disk "
      "of this computer.",
      base::printable(book_path));
}

}  // namespace brink::io
