#pragma once

#include <cstddef>

#include "io/book/book.h"
#include "io/book/book_reader.h"

namespace brink::report {

/// What taking something into the book comes to, record by record; equal keys are the same record.
struct Import {
  io::BookAction action;          ///< what is left to keep
  std::size_t new_count = 0;      ///< shows and guesses the book does not have
  std::size_t same_count = 0;     ///< it has them just so: nothing to do
  std::size_t changed_count = 0;  ///< it has them otherwise
};

/// `replaces`: what differs is taken from `brought`; otherwise the book's own stays.
[[nodiscard]] Import plan_import(io::BookReader& reader, io::BookAction brought, bool replaces);

}  // namespace brink::report
