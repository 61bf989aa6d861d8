#include "io/book/book_guesses.h"

#include <cstdint>

#include "io/book/book_statements.h"

namespace brink::io {
namespace {

// SQLite's integers are signed: the same 64 bits.
std::int64_t to_stored(std::uint64_t seed) {
  return static_cast<std::int64_t>(seed);
}

std::uint64_t from_stored(std::int64_t seed) {
  return static_cast<std::uint64_t>(seed);
}

}  // namespace

void write_guess(Statements& statements, const show::GuessRecord& guess) {
  statements.run(
      "INSERT OR REPLACE INTO guesses(key, trainee, guessed_at, guessed_day, exercise, seed, "
      "true_hz, guessed_hz, took_s, level, left_db) "
      "VALUES(?1,?2,?3,julianday(?3),?4,?5,?6,?7,?8,?9,?10)",
      guess.key,
      guess.trainee,
      guess.guessed_at,
      guess.exercise,
      to_stored(guess.seed),
      guess.true_hz,
      guess.guessed_hz,
      guess.took_s,
      guess.level,
      guess.left_db);
}

std::vector<show::GuessRecord> read_guesses(Statements& statements, const std::string& trainee) {
  std::vector<show::GuessRecord> guesses;
  auto& rows = trainee.empty() ? statements.prepared(
                                     "SELECT key, trainee, guessed_at, exercise, seed, true_hz, "
                                     "guessed_hz, took_s, level, left_db FROM guesses "
                                     "ORDER BY guessed_day, id")
                               : statements.bound(
                                     "SELECT key, trainee, guessed_at, exercise, seed, true_hz, "
                                     "guessed_hz, took_s, level, left_db FROM guesses "
                                     "WHERE trainee = ? ORDER BY guessed_day, id",
                                     trainee);
  while (rows.executeStep()) {
    Columns columns(rows);
    show::GuessRecord& guess = guesses.emplace_back();
    guess.key = columns.text();
    guess.trainee = columns.text();
    guess.guessed_at = columns.text();
    guess.exercise = columns.text();
    guess.seed = from_stored(columns.integer());
    guess.true_hz = columns.number();
    guess.guessed_hz = columns.number();
    guess.took_s = columns.number();
    guess.level = columns.count();
    guess.left_db = columns.number();
  }
  return guesses;
}

}  // namespace brink::io
