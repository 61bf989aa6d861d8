#pragma once

#include <span>
#include <string>

#include "app/book_compare.h"
#include "io/book_reader.h"
#include "io/show_record.h"

namespace brink::app {

/// How the book is read at a terminal. Control characters of kept text, which could steer it,
/// become '?'.

/// One line for each show: when, where, what, and the beginning of its key.
[[nodiscard]] std::string list_text(std::span<const io::ShowSummary> shows);

/// All of a show, output by output.
[[nodiscard]] std::string show_text(const io::ShowRecord& show);

[[nodiscard]] std::string comparison_text(const io::ShowRecord& before,
                                          const io::ShowRecord& now,
                                          const VisitComparison& comparison);

/// The same as one line of JSON, schema "brink/book-compare/1".
[[nodiscard]] std::string comparison_json(const io::ShowRecord& before,
                                          const io::ShowRecord& now,
                                          const VisitComparison& comparison);

/// A head line, then one line for each round; an output without rounds has a line of its own with
/// nothing after its target. RFC 4180.
[[nodiscard]] std::string shows_csv_header();
[[nodiscard]] std::string show_csv(const io::ShowRecord& show);
[[nodiscard]] std::string list_csv(std::span<const io::ShowSummary> shows);

}  // namespace brink::app
