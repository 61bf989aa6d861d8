#pragma once

#include <optional>
#include <string>
#include <vector>

#include "show/show_record.h"

namespace brink::io {

class Statements;

/// How shows lie in the tables. Inside a transaction of the caller; SQLite::Exception may leave.

/// Replaces what was there under the same key; outputs that are as they were stay untouched.
void write_show(Statements& statements, const show::ShowRecord& show);

/// The show of that key, which is there, is rung out live with this book.
void mark_live(Statements& statements, const std::string& key);

/// False when there was none.
bool erase_show(Statements& statements, const std::string& key);

[[nodiscard]] std::optional<show::ShowRecord> read_show(Statements& statements,
                                                        const std::string& key);

}  // namespace brink::io
