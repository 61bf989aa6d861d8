#include "io/book/book_connection.h"

#include <SQLiteCpp/Exception.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <filesystem>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_lock.h"
#include "io/book/book_schema.h"
#include "io/paths.h"

namespace brink::io {
namespace {

/// How long another connection's short lock is waited for.
constexpr int kPatienceMs = 250;

/// A file: URI of SQLite for a medium where nothing can change. https://www.sqlite.org/uri.html
std::string immutable_uri(const std::string& path) {
  std::string uri = "file:";
  for (const char c : path) {
    const bool is_plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                          (c >= '0' && c <= '9') || c == '/' || c == '.' || c == '-' || c == '_';
    uri += is_plain ? std::string(1, c)
                    : fmt::format("%{:02X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
  }
  return uri + "?immutable=1";
}

/// The lowest byte says what kind of fault it is. https://www.sqlite.org/rescode.html
int primary(const SQLite::Exception& fault) {
  return fault.getErrorCode() & 0xFF;
}

bool has_log(const std::string& path) {
  std::error_code ignored;
  const auto size_bytes = std::filesystem::file_size(to_path(path + "-wal"), ignored);
  return !ignored && size_bytes > 0;
}

}  // namespace

BookConnection::BookConnection(std::string path, BookUse use) : path_(std::move(path)) {
  if (std::error_code ignored; std::filesystem::is_directory(to_path(path_), ignored)) {
    throw base::Error(
        fmt::format("{}: is a directory; name the book's file in it.", base::printable(path_)));
  }
  try {
    if (use == BookUse::kWrite) {
      open_to_write();
    } else {
      open_to_read();
    }
  } catch (const SQLite::Exception& fault) {
    throw base::Error(sentence_for(fault, path_));
  }
  statements_.emplace(*database_);
  id_ = file_id();
}

void BookConnection::open_to_read() {
  const auto look = [this] {
    if (is_older(*database_, book_steps(), base::printable(path_))) {
      bring_up_older();
    }
    has_tables_ = is_readable(*database_, book_steps(), base::printable(path_));
  };
  try {
    database_.emplace(path_, SQLite::OPEN_READONLY, kPatienceMs);
    look();
  } catch (const SQLite::Exception& fault) {
    // A book in WAL mode wants its -shm file beside it, which a read-only folder does not allow.
    const int code = primary(fault);
    if ((code != SQLITE_CANTOPEN && code != SQLITE_READONLY) || has_log(path_)) {
      throw;
    }
    database_.emplace(immutable_uri(path_), SQLite::OPEN_READONLY | SQLite::OPEN_URI, kPatienceMs);
    look();
  }
}

/// Where a book of an older form cannot be brought up before it is read, is_readable() says so.
void BookConnection::bring_up_older() const {
  try {
    SQLite::Database database(path_, SQLite::OPEN_READWRITE, kPatienceMs);
    bring_up(database, book_steps(), base::printable(path_));
  } catch (const SQLite::Exception&) {
    return;
  }
}

void BookConnection::open_to_write() {
  const bool is_new = !file_id().has_value();
  if (is_new) {
    // SQLite gives its -wal and -shm the same readers.
    const OpenFile begun(create_file(path_, Readers::kOwner));
  }
  database_.emplace(path_, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE, kPatienceMs);
  if (sqlite3_db_readonly(database_->getHandle(), "main") == 1) {
    throw base::Error(fmt::format("{}: is read-only; make it writable or choose another book.",
                                  base::printable(path_)));
  }
  // Asked before anything is written: a newer book, or no book at all, stays as it is.
  (void)is_older(*database_, book_steps(), base::printable(path_));
  // Every transaction is on the disk when its commit returns, and readers never wait.
  (void)database_->execAndGet("PRAGMA journal_mode = WAL");
  database_->exec("PRAGMA synchronous = FULL");
  database_->exec("PRAGMA foreign_keys = ON");
  bring_up(*database_, book_steps(), base::printable(path_));
  has_tables_ = true;
  if (is_new) {
    sync_folder_of(path_);
  }
}

std::optional<FileId> BookConnection::file_id() const {
  const auto facts = facts_of(path_);
  return facts ? std::optional(facts->id) : std::nullopt;
}

bool BookConnection::empty_log() noexcept {
  // https://www.sqlite.org/c3ref/wal_checkpoint_v2.html
  return sqlite3_wal_checkpoint_v2(
             database_->getHandle(), nullptr, SQLITE_CHECKPOINT_TRUNCATE, nullptr, nullptr) ==
         SQLITE_OK;
}

bool BookConnection::has_moved() const {
  return file_id() != id_;
}

bool is_busy(const SQLite::Exception& fault) noexcept {
  return primary(fault) == SQLITE_BUSY || primary(fault) == SQLITE_LOCKED;
}

std::string sentence_for(const SQLite::Exception& fault, const std::string& path) {
  const std::string name = base::printable(path);
  switch (primary(fault)) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      if (are_locks_refused(path)) {
        return no_locks_sentence(path);
      }
      return fmt::format("{}: is locked by another program; close that program.", name);
    case SQLITE_FULL:
      return fmt::format("{}: the disk is full; make room.", name);
    case SQLITE_IOERR:
      return fmt::format(
          "{}: the disk does not take or give it ({}); make room, or look after the "
          "disk.",
          name,
          sqlite3_errstr(fault.getExtendedErrorCode()));
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return fmt::format("{}: is read-only; make it writable or choose another book.", name);
    case SQLITE_CANTOPEN:
      return fmt::format(
          "{}: cannot be opened; check that it is a file, that its folder is there "
          "and that both may be used.",
          name);
    case SQLITE_CORRUPT:
      return fmt::format(
          "{}: is damaged; move it away (a new book is then begun) or put a copy "
          "in its place.",
          name);
    case SQLITE_NOTADB:
      return fmt::format("{}: is not a book; choose another file, or move it away.", name);
    default:
      return fmt::format("{}: cannot be used ({}).", name, fault.what());
  }
}

}  // namespace brink::io
