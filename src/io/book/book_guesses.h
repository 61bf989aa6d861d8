#pragma once

#include <string>
#include <vector>

#include "show/guess_record.h"

namespace brink::io {

class Statements;

/// How guesses lie in their table. Inside a transaction of the caller; SQLite::Exception may leave.

/// Replaces what was there under the same key.
void write_guess(Statements& statements, const show::GuessRecord& guess);

/// Of one trainee, or of all when `trainee` is empty; oldest first.
[[nodiscard]] std::vector<show::GuessRecord> read_guesses(Statements& statements,
                                                          const std::string& trainee);

}  // namespace brink::io
