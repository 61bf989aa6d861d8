#pragma once

#include <span>
#include <string>

namespace SQLite {  // NOLINT(readability-identifier-naming): the library's own name
class Database;
}

namespace brink::io {

/// Whose file it is, in SQLite's application_id: "brnk".
inline constexpr int kBookApplication = 0x62726E6B;

/// The SQL that makes a book: step i makes form i + 1 out of form i; form 0 is an empty file. Once
/// published a step is never changed; a new form is a new step at the end.
[[nodiscard]] std::span<const char* const> book_steps();

/// Brings a book to the newest form, whole or not at all; the form's number is SQLite's
/// user_version. Throws base::Error, with the file untouched, when it is of a form newer than
/// `steps` know or belongs to another program; SQLite::Exception when the file cannot be read or
/// written. `name`: what messages call it.
void bring_up(SQLite::Database& database,
              std::span<const char* const> steps,
              const std::string& name);

/// Whether it is a book that bring_up() would change. Throws like bring_up().
[[nodiscard]] bool is_older(SQLite::Database& database,
                            std::span<const char* const> steps,
                            const std::string& name);

/// Whether there is anything to read yet. Throws like bring_up(), which it never needs to write.
[[nodiscard]] bool is_readable(SQLite::Database& database,
                               std::span<const char* const> steps,
                               const std::string& name);

}  // namespace brink::io
