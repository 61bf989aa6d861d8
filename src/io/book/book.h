#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::io {

class BookWriter;

/// Where the book is unless the user says otherwise: brink/book.sqlite in the user's data folder
/// (XDG base directories: $XDG_DATA_HOME, or ~/.local/share). Throws base::Error when there is no
/// such folder to be known.
[[nodiscard]] std::string default_book_path();

/// One transaction: all of it or nothing.
struct BookAction {
  std::vector<show::ShowRecord> shows;     ///< each replaces what was kept under its key
  std::vector<show::GuessRecord> guesses;  ///< the same
  std::vector<std::string> erased_shows;   ///< keys; what is not there is no fault
  bool is_live = false;  ///< `shows` are rung out here and now, not brought from elsewhere
};

/// The book, for writing. One thread of its own writes what is kept here: an action is a
/// transaction, in order, and counts as kept once the disk has it for good, so that neither a
/// killed program nor a power cut takes it back. Whatever is wrong with the file, keep() takes
/// everything; it waits in memory, and writing is tried again about once a second. Actions that
/// wait are one after the other replaced by a newer state of the same show, so waiting costs memory
/// for one state of each show only.
///
/// One program at a time writes to a book. A second one waits, with a word of trouble(), and takes
/// over when the first ends; meanwhile BookReader reads what the first has kept. Text is kept byte
/// by byte; numbers that are not finite are kept as nothing (0 where there must be one).
///
/// When nothing was kept for some seconds the file alone holds all of it: a copy of it is whole.
///
/// All of it: [any thread], and never for longer than a few microseconds, except where said.
class Book {
 public:
  /// Makes the folder and the file when missing, both for the user alone (modes 700 and 600). Waits
  /// for the first try to open it, half a second at most, so that trouble() knows; never throws for
  /// what is wrong with the file.
  explicit Book(const std::string& path);
  /// Writes what still waits, for two seconds at most; what cannot be written then is lost.
  ~Book();
  Book(const Book&) = delete;
  Book& operator=(const Book&) = delete;
  Book(Book&&) = delete;
  Book& operator=(Book&&) = delete;

  /// Each returns the action's serial: 1, 2, 3, ... A show by itself is a live one.
  std::uint64_t keep(show::ShowRecord show);
  std::uint64_t keep(show::GuessRecord guess);
  std::uint64_t keep(BookAction action);

  /// Every action up to this serial is on the disk. Only then may a face say "logged".
  [[nodiscard]] std::uint64_t kept() const noexcept;

  /// What is wrong, in one sentence, as long as it is; nothing when all is well.
  [[nodiscard]] std::optional<std::string> trouble() const;

  /// Actions that are not on the disk yet.
  [[nodiscard]] std::size_t waiting() const;

  /// Waits until kept() has reached `serial`: true; false after `patience_s`, or as soon as there
  /// is trouble. For commands; a face looks at kept() instead.
  [[nodiscard]] bool wait_for(std::uint64_t serial, double patience_s) const;

  /// Drops what still waits, for a command that gives up: true when nothing did. Waits for the
  /// transaction under way.
  bool drop_waiting();

 private:
  std::unique_ptr<BookWriter> writer_;
};

}  // namespace brink::io
