#include <fcntl.h>
#include <fmt/format.h>
#include <io.h>
#include <windows.h>

#include <system_error>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_lock.h"
#include "io/windows_text.h"

namespace brink::io {

BookLock::~BookLock() {
  if (descriptor_ >= 0) {
    _close(descriptor_);
  }
}

bool BookLock::take(const std::string& book_path) {
  if (is_ours_) {
    return true;
  }
  if (descriptor_ < 0) {
    // A file of its own: a lock here keeps others from reading what is locked.
    const std::wstring path = to_wide(book_path + ".lock");
    const HANDLE file = CreateFileW(path.c_str(),
                                    GENERIC_READ | GENERIC_WRITE,
                                    FILE_SHARE_READ | FILE_SHARE_WRITE | FILE_SHARE_DELETE,
                                    nullptr,
                                    OPEN_ALWAYS,
                                    FILE_ATTRIBUTE_NORMAL,
                                    nullptr);
    if (file == INVALID_HANDLE_VALUE) {
      throw base::Error(fmt::format(
          "{}: cannot be written ({}); make its folder writable or choose another book.",
          base::printable(book_path),
          std::generic_category().message(last_fault())));
    }
    descriptor_ = _open_osfhandle(reinterpret_cast<std::intptr_t>(file), _O_BINARY);
  }
  OVERLAPPED at{};
  is_ours_ = LockFileEx(reinterpret_cast<HANDLE>(_get_osfhandle(descriptor_)),
                        LOCKFILE_EXCLUSIVE_LOCK | LOCKFILE_FAIL_IMMEDIATELY,
                        0,
                        1,
                        0,
                        &at) != 0;
  return is_ours_;
}

bool are_locks_refused(const std::string& /*book_path*/) noexcept {
  return false;  // no such file system is known here
}

std::string no_locks_sentence(const std::string& book_path) {
  return fmt::format("{}: its file system gives no locks; choose a book on another disk.",
                     base::printable(book_path));
}

}  // namespace brink::io
