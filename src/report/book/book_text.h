#pragma once

#include <span>
#include <string>

#include "io/book/book_reader.h"
#include "show/compare.h"
#include "show/show_record.h"

namespace brink::report {

/// How the book is read at a terminal. Control characters of kept text, which could steer it,
/// become '?'.

/// One line for each show: when, where, what, and the beginning of its key.
[[nodiscard]] std::string list_text(std::span<const io::ShowSummary> shows);

/// All of a show, output by output.
[[nodiscard]] std::string show_text(const show::ShowRecord& show);

[[nodiscard]] std::string comparison_text(const show::ShowRecord& before,
                                          const show::ShowRecord& now,
                                          const show::VisitComparison& comparison);

/// The same as one line of JSON, schema "brink/book-compare/1".
[[nodiscard]] std::string comparison_json(const show::ShowRecord& before,
                                          const show::ShowRecord& now,
                                          const show::VisitComparison& comparison);

/// A head line, then one line for each round; an output without rounds has a line of its own with
/// nothing after its target. RFC 4180.
[[nodiscard]] std::string shows_csv_header();
[[nodiscard]] std::string show_csv(const show::ShowRecord& show);
[[nodiscard]] std::string list_csv(std::span<const io::ShowSummary> shows);

}  // namespace brink::report
