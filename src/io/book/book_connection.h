#pragma once

#include <SQLiteCpp/Database.h>

#include <optional>
#include <string>

#include "io/book/book_statements.h"
#include "io/files.h"

namespace SQLite {
class Exception;
}

namespace brink::io {

enum class BookUse { kRead, kWrite };

/// One connection to a book and its statements. [one thread at a time]
class BookConnection {
 public:
  /// Reading: throws base::Error with one sentence when it cannot be read. Writing: makes the file
  /// and brings it to the newest form first; the caller holds the BookLock.
  BookConnection(std::string path, BookUse use);

  /// False for an empty file: nothing is in it yet.
  [[nodiscard]] bool has_tables() const noexcept { return has_tables_; }

  /// Another file has taken its path, or none is there any more.
  [[nodiscard]] bool has_moved() const;

  /// Moves what the log (-wal) has into the book's file, so that a copy of that one file is whole.
  /// False when somebody who reads or the disk did not let all of it go.
  [[nodiscard]] bool empty_log() noexcept;

  [[nodiscard]] SQLite::Database& database() noexcept { return *database_; }

  [[nodiscard]] Statements& statements() noexcept { return *statements_; }

 private:
  [[nodiscard]] std::optional<FileId> file_id() const;
  void open_to_read();
  void bring_up_older() const;
  void open_to_write();

  std::string path_;
  std::optional<SQLite::Database> database_;
  std::optional<Statements> statements_;  ///< after the database: ends before it
  bool has_tables_ = false;
  std::optional<FileId> id_;
};

/// What a fault of SQLite means for the user, in one sentence.
[[nodiscard]] std::string sentence_for(const SQLite::Exception& fault, const std::string& path);

/// Held by another program for a moment: nothing is wrong with the connection.
[[nodiscard]] bool is_busy(const SQLite::Exception& fault) noexcept;

}  // namespace brink::io
