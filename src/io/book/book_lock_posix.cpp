#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_lock.h"

namespace brink::io {

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
    // A file of its own: closing any descriptor of the book itself would drop SQLite's locks on it.
    const std::string path = book_path + ".lock";
    descriptor_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, S_IRUSR | S_IWUSR);
    if (descriptor_ < 0) {
      const int reason = errno;
      throw base::Error(fmt::format(
          "{}: cannot be written ({}); make its folder writable or choose another book.",
          base::printable(book_path),
          std::generic_category().message(reason)));
    }
  }

  struct flock whole {};

  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  is_ours_ = ::fcntl(descriptor_, F_OFD_SETLK, &whole) == 0;
  return is_ours_;
}

}  // namespace brink::io
