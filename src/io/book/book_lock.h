#pragma once

#include <string>

namespace brink::io {

/// The right to write to a book, held by one program at a time: an open-file-description lock on a
/// file beside the book. The system gives it back however the holder ends.
class BookLock {
 public:
  BookLock() = default;
  ~BookLock();
  BookLock(const BookLock&) = delete;
  BookLock& operator=(const BookLock&) = delete;
  BookLock(BookLock&&) = delete;
  BookLock& operator=(BookLock&&) = delete;

  /// Takes it if nobody else has it; true when it is ours. Throws base::Error when the file cannot
  /// be made, or its file system gives no locks.
  bool take(const std::string& book_path);

 private:
  int descriptor_ = -1;
  bool is_ours_ = false;
};

/// Whether the book is where no locks are given, as on some network file systems. SQLite takes that
/// for a lock of another program. False where nobody wrote to the book yet.
[[nodiscard]] bool are_locks_refused(const std::string& book_path) noexcept;

/// The sentence for that.
[[nodiscard]] std::string no_locks_sentence(const std::string& book_path);

}  // namespace brink::io
