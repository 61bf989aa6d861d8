#include "io/book/book_schema.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Transaction.h>
#include <fmt/format.h>

#include <array>
#include <cstddef>

#include "base/error.h"

namespace brink::io {
namespace {

// Numbers may be NULL: what was no number. Days are Julian days, for order only.
constexpr const char* kFirstForm = R"(
CREATE TABLE venues(
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE shows(
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  venue_id INTEGER NOT NULL REFERENCES venues(id),
  name TEXT NOT NULL,
  started_at TEXT NOT NULL,
  started_day REAL,
  last_check TEXT NOT NULL,
  note TEXT NOT NULL,
  output_count INTEGER NOT NULL,
  round_count INTEGER NOT NULL,
  won_db REAL
) STRICT;
CREATE INDEX shows_by_day ON shows(started_day);
CREATE INDEX shows_by_venue ON shows(venue_id, started_day);

-- All text of a show in lower case, for searching.
CREATE TABLE show_words(
  show_id INTEGER PRIMARY KEY REFERENCES shows(id) ON DELETE CASCADE,
  folded TEXT NOT NULL
) STRICT;

CREATE TABLE outputs(
  id INTEGER PRIMARY KEY,
  show_id INTEGER NOT NULL REFERENCES shows(id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  name TEXT NOT NULL,
  microphone TEXT NOT NULL,
  position TEXT NOT NULL,
  target TEXT NOT NULL,
  start_at_db REAL,
  back_off_db REAL,
  advice TEXT NOT NULL,
  note TEXT NOT NULL,
  UNIQUE(show_id, place)
) STRICT;

CREATE TABLE prepared(
  output_id INTEGER NOT NULL REFERENCES outputs(id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  point TEXT NOT NULL,
  PRIMARY KEY(output_id, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE rounds(
  output_id INTEGER NOT NULL REFERENCES outputs(id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  flagged_at TEXT NOT NULL,
  frequency_hz REAL,
  frequency_sd_hz REAL,
  growth_db_per_s REAL,
  peak_dbfs REAL,
  confidence REAL,
  is_proposed INTEGER NOT NULL,
  proposed_centre_hz REAL,
  proposed_q REAL,
  proposed_depth_db REAL,
  is_cut INTEGER NOT NULL,
  cut_centre_hz REAL,
  cut_q REAL,
  cut_depth_db REAL,
  rang_at_db REAL,
  returned_at_db REAL,
  has_faded INTEGER NOT NULL,
  note TEXT NOT NULL,
  PRIMARY KEY(output_id, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE cuts(
  output_id INTEGER NOT NULL REFERENCES outputs(id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  centre_hz REAL,
  q REAL,
  depth_db REAL,
  PRIMARY KEY(output_id, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE dismissals(
  show_id INTEGER NOT NULL REFERENCES shows(id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  dismissed_at TEXT NOT NULL,
  frequency_hz REAL,
  reason TEXT NOT NULL,
  PRIMARY KEY(show_id, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE guesses(
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  trainee TEXT NOT NULL,
  guessed_at TEXT NOT NULL,
  guessed_day REAL,
  exercise TEXT NOT NULL,
  seed INTEGER NOT NULL,
  true_hz REAL,
  guessed_hz REAL,
  took_s REAL,
  level INTEGER NOT NULL,
  left_db REAL
) STRICT;
CREATE INDEX guesses_by_trainee ON guesses(trainee, guessed_day);
)";

// Shows that a program rang out live with this very book; what was merged or imported is not here.
// Of the shows before it that is not known: one of them may be under way.
constexpr const char* kLiveShows = R"(
CREATE TABLE live_shows(
  show_id INTEGER PRIMARY KEY REFERENCES shows(id) ON DELETE CASCADE
) STRICT;
INSERT INTO live_shows SELECT id FROM shows;
)";

// What may be claimed. A check says how long it listened, how loud, and what rang; of older ones
// only the words are known. An output is ended with a margin only where it rang. What an output won
// is the sum of its rounds.
constexpr const char* kClaims = R"(
CREATE TABLE checks(
  show_id INTEGER PRIMARY KEY REFERENCES shows(id) ON DELETE CASCADE,
  ended_at TEXT NOT NULL,
  listened_s REAL,
  loudest_dbfs REAL,
  older_words TEXT NOT NULL
) STRICT;
CREATE TABLE check_rings(
  show_id INTEGER NOT NULL REFERENCES checks(show_id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  frequency_hz REAL,
  PRIMARY KEY(show_id, place)
) STRICT, WITHOUT ROWID;
INSERT INTO checks SELECT id, '', NULL, NULL, last_check FROM shows WHERE last_check <> '';
ALTER TABLE shows DROP COLUMN last_check;

ALTER TABLE outputs ADD COLUMN tried_to_db REAL;
ALTER TABLE outputs ADD COLUMN is_ended INTEGER NOT NULL DEFAULT 0;
UPDATE outputs SET is_ended = back_off_db IS NOT NULL;
UPDATE outputs SET back_off_db = NULL, advice = ''
  WHERE start_at_db IS NULL AND NOT EXISTS (SELECT 1 FROM rounds WHERE output_id = outputs.id);

UPDATE shows SET won_db = (
  SELECT avg(won) FROM (
    SELECT total(CASE WHEN is_cut THEN returned_at_db - rang_at_db END) AS won
    FROM rounds JOIN outputs ON outputs.id = output_id
    WHERE show_id = shows.id
    GROUP BY output_id HAVING count(rang_at_db) > 0));
)";

// Rounds in which an output was measured by a quiet sweep.
constexpr const char* kSweeps = R"(
CREATE TABLE sweeps(
  output_id INTEGER NOT NULL REFERENCES outputs(id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  made_at TEXT NOT NULL,
  source TEXT NOT NULL,
  level_dbfs REAL,
  over_noise_db REAL,
  console_delay_ms REAL,
  console_gain_db REAL,
  distance_m REAL,
  is_delay_known INTEGER NOT NULL,
  stable_gain_db REAL,
  stable_gain_most_db REAL,
  won_least_db REAL,
  won_most_db REAL,
  lost_db REAL,
  note TEXT NOT NULL,
  PRIMARY KEY(output_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE sweep_rings(
  output_id INTEGER NOT NULL,
  sweep INTEGER NOT NULL,
  place INTEGER NOT NULL,
  frequency_hz REAL,
  until_db REAL,
  PRIMARY KEY(output_id, sweep, place),
  FOREIGN KEY(output_id, sweep) REFERENCES sweeps(output_id, place) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
CREATE TABLE sweep_cuts(
  output_id INTEGER NOT NULL,
  sweep INTEGER NOT NULL,
  place INTEGER NOT NULL,
  centre_hz REAL,
  q REAL,
  depth_db REAL,
  PRIMARY KEY(output_id, sweep, place),
  FOREIGN KEY(output_id, sweep) REFERENCES sweeps(output_id, place) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
CREATE TABLE sweep_warnings(
  output_id INTEGER NOT NULL,
  sweep INTEGER NOT NULL,
  place INTEGER NOT NULL,
  sentence TEXT NOT NULL,
  PRIMARY KEY(output_id, sweep, place),
  FOREIGN KEY(output_id, sweep) REFERENCES sweeps(output_id, place) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
)";

// Which microphone brought a ring, and which pair of microphone and output rang in the last check.
constexpr const char* kMicrophones = R"(
ALTER TABLE rounds ADD COLUMN microphone TEXT NOT NULL DEFAULT '';
ALTER TABLE check_rings ADD COLUMN rang_in TEXT NOT NULL DEFAULT '';
)";

// How loud it was at a calibrated microphone.
constexpr const char* kSoundPressure = "ALTER TABLE rounds ADD COLUMN laeq_1s_db REAL;";

constexpr auto kSteps = std::to_array<const char*>(
    {kFirstForm, kLiveShows, kClaims, kSweeps, kMicrophones, kSoundPressure});

int pragma(SQLite::Database& database, const char* name) {
  return database.execAndGet(fmt::format("PRAGMA {}", name)).getInt();
}

/// The form of a book; 0 for an empty file.
std::size_t form_of(SQLite::Database& database, std::size_t newest, const std::string& name) {
  const int application = pragma(database, "application_id");
  const int form = pragma(database, "user_version");
  if (application != kBookApplication) {
    const bool is_empty = database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() == 0;
    if (application != 0 || form != 0 || !is_empty) {
      throw base::Error(fmt::format(
          "{}: is a database of another program, not a book; choose another file.", name));
    }
    return 0;
  }
  if (form < 0 || static_cast<std::size_t>(form) > newest) {
    throw base::Error(
        fmt::format("{}: was written by a newer brink (form {} of the book, this one knows {}); "
                    "update brink, or choose another book.",
                    name,
                    form,
                    newest));
  }
  return static_cast<std::size_t>(form);
}

}  // namespace

std::span<const char* const> book_steps() {
  return kSteps;
}

void bring_up(SQLite::Database& database,
              std::span<const char* const> steps,
              const std::string& name) {
  if (form_of(database, steps.size(), name) == steps.size()) {
    return;
  }
  SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
  // Asked again: another program may have been quicker.
  for (std::size_t form = form_of(database, steps.size(), name); form < steps.size(); ++form) {
    database.exec(steps[form]);
  }
  database.exec(fmt::format("PRAGMA application_id = {}", kBookApplication));
  database.exec(fmt::format("PRAGMA user_version = {}", steps.size()));
  transaction.commit();
}

bool is_older(SQLite::Database& database,
              std::span<const char* const> steps,
              const std::string& name) {
  const std::size_t form = form_of(database, steps.size(), name);
  return form != 0 && form != steps.size();
}

bool is_readable(SQLite::Database& database,
                 std::span<const char* const> steps,
                 const std::string& name) {
  if (is_older(database, steps, name)) {
    throw base::Error(fmt::format(
        "{}: is of an older form and could not be brought up to date; make it writable.", name));
  }
  return form_of(database, steps.size(), name) != 0;
}

}  // namespace brink::io
