#pragma once

#include <optional>
#include <string>

#include "io/book/book_reader.h"
#include "show/show_record.h"

namespace brink::report {

/// What a user's few letters mean in a book. Each throws base::Error with one sentence when they
/// mean nothing, or more than one thing.

/// A show by "last" (the newest) or the first digits of its key, four or more.
[[nodiscard]] show::ShowRecord choose_show(io::BookReader& reader, const std::string& text);

/// A venue by its name or a part of it, in small or capital letters.
[[nodiscard]] std::string choose_venue(io::BookReader& reader, const std::string& text);

/// The visit of the same venue before this one.
[[nodiscard]] show::ShowRecord previous_visit(io::BookReader& reader, const show::ShowRecord& show);

/// Whether the first began before the second; false when either has no readable time of day.
[[nodiscard]] bool is_before(const show::ShowRecord& first, const show::ShowRecord& second);

}  // namespace brink::report
