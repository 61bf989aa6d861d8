#pragma once

#include <span>
#include <string>
#include <string_view>

#include "io/book/book.h"
#include "io/book/book_reader.h"

namespace brink::report {

/// What `brink book` writes and takes back, one JSON object on a line, newline included:
/// schema "brink/book/1" for a show, "brink/score/1" for a trainee's guess. Every field of the
/// record is there, so that a show taken back is the same, save for bytes that are no UTF-8.
[[nodiscard]] std::string show_json(const show::ShowRecord& show);
[[nodiscard]] std::string score_json(const show::GuessRecord& guess);

/// Schema "brink/book-list/1": one line for each show, without its outputs.
[[nodiscard]] std::string list_json(std::span<const io::ShowSummary> shows);

/// Reads both kinds of line back; `erased_shows` stays empty. Fields that are missing are taken as
/// empty, fields of a later brink are passed over. Throws base::Error with `name` and the line for
/// what is no such line; a key that comes twice keeps the later one.
[[nodiscard]] io::BookAction parse_book(std::string_view text, const std::string& name);

}  // namespace brink::report
