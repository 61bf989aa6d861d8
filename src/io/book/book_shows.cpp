#include "io/book/book_shows.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "base/folded.h"
#include "io/book/book_statements.h"
#include "io/book/book_sweeps.h"
#include "show/gain_won.h"

namespace brink::io {
namespace {

std::int64_t first_integer(SQLite::Statement& statement) {
  statement.executeStep();
  const std::int64_t value = statement.getColumn(0).getInt64();
  statement.reset();
  return value;
}

int place_of(std::size_t index) {
  return static_cast<int>(index);
}

std::optional<double> part(const std::optional<cuts::Band>& cut, double cuts::Band::*number) {
  return cut ? std::optional(*cut.*number) : std::nullopt;
}

void write_round(Statements& statements,
                 std::int64_t output_id,
                 int place,
                 const show::RoundRecord& round) {
  statements.run("INSERT INTO rounds VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                 output_id,
                 place,
                 round.ring.flagged_at,
                 round.ring.frequency_hz,
                 round.ring.frequency_sd_hz,
                 round.ring.growth_db_per_s,
                 round.ring.peak_dbfs,
                 round.ring.confidence,
                 static_cast<int>(round.proposed.has_value()),
                 part(round.proposed, &cuts::Band::centre_hz),
                 part(round.proposed, &cuts::Band::q),
                 part(round.proposed, &cuts::Band::depth_db),
                 static_cast<int>(round.cut.has_value()),
                 part(round.cut, &cuts::Band::centre_hz),
                 part(round.cut, &cuts::Band::q),
                 part(round.cut, &cuts::Band::depth_db),
                 round.rang_at_db,
                 round.returned_at_db,
                 static_cast<int>(round.has_faded),
                 round.note,
                 round.microphone,
                 round.ring.laeq_1s_db);
}

void write_output(Statements& statements,
                  std::int64_t show_id,
                  int place,
                  const show::OutputRecord& output) {
  statements.run("DELETE FROM outputs WHERE show_id = ? AND place = ?", show_id, place);
  const std::int64_t id =
      first_integer(statements.bound("INSERT INTO outputs(show_id, place, name, microphone, "
                                     "position, target, start_at_db, tried_to_db, is_ended, "
                                     "back_off_db, advice, note) "
                                     "VALUES(?,?,?,?,?,?,?,?,?,?,?,?) RETURNING id",
                                     show_id,
                                     place,
                                     output.name,
                                     output.microphone,
                                     output.position,
                                     output.target,
                                     output.start_at_db,
                                     output.tried_to_db,
                                     static_cast<int>(output.is_ended),
                                     output.back_off_db,
                                     output.advice,
                                     output.note));
  for (std::size_t i = 0; i < output.prepared.size(); ++i) {
    statements.run("INSERT INTO prepared VALUES(?,?,?)", id, place_of(i), output.prepared[i]);
  }
  for (std::size_t i = 0; i < output.rounds.size(); ++i) {
    write_round(statements, id, place_of(i), output.rounds[i]);
  }
  for (std::size_t i = 0; i < output.cuts.size(); ++i) {
    const cuts::Band& cut = output.cuts[i];
    statements.run(
        "INSERT INTO cuts VALUES(?,?,?,?,?)", id, place_of(i), cut.centre_hz, cut.q, cut.depth_db);
  }
  write_sweeps(statements, id, output.sweeps);
}

void write_dismissals(Statements& statements,
                      std::int64_t show_id,
                      const std::vector<show::DismissalRecord>& dismissals) {
  statements.run("DELETE FROM dismissals WHERE show_id = ?", show_id);
  for (std::size_t i = 0; i < dismissals.size(); ++i) {
    statements.run("INSERT INTO dismissals VALUES(?,?,?,?,?)",
                   show_id,
                   place_of(i),
                   dismissals[i].dismissed_at,
                   dismissals[i].frequency_hz,
                   dismissals[i].reason);
  }
}

void write_check(Statements& statements,
                 std::int64_t show_id,
                 const std::optional<show::CheckRecord>& check) {
  statements.run("DELETE FROM checks WHERE show_id = ?", show_id);
  if (!check) {
    return;
  }
  statements.run("INSERT INTO checks VALUES(?,?,?,?,?)",
                 show_id,
                 check->ended_at,
                 check->listened_s,
                 check->loudest_dbfs,
                 check->older_words);
  for (std::size_t i = 0; i < check->rang_hz.size(); ++i) {
    statements.run("INSERT INTO check_rings VALUES(?,?,?,?)",
                   show_id,
                   place_of(i),
                   check->rang_hz[i],
                   i < check->rang_in.size() ? check->rang_in[i] : std::string());
  }
}

/// What a search looks through. Lines keep one word from running into the next.
std::string words_of(const show::ShowRecord& show) {
  std::string words;
  const auto add = [&words](const std::string& text) {
    if (!text.empty()) {
      words.append(text).append("\n");
    }
  };
  add(show.venue);
  add(show.name);
  add(show.started_at);
  add(show.check ? show.check->older_words : std::string());
  add(show.note);
  for (const show::OutputRecord& output : show.outputs) {
    add(output.name);
    add(output.microphone);
    add(output.position);
    add(output.advice);
    add(output.note);
    for (const show::RoundRecord& round : output.rounds) {
      add(round.note);
    }
    for (const show::SweepRecord& sweep : output.sweeps) {
      add(sweep.note);
    }
  }
  for (const show::DismissalRecord& dismissal : show.dismissals) {
    add(dismissal.reason);
  }
  return base::folded(words);
}

std::int64_t write_head(Statements& statements, const show::ShowRecord& show) {
  statements.run("INSERT INTO venues(name) VALUES(?) ON CONFLICT DO NOTHING", show.venue);
  const std::int64_t venue_id =
      first_integer(statements.bound("SELECT id FROM venues WHERE name = ?", show.venue));
  std::size_t round_count = 0;
  for (const show::OutputRecord& output : show.outputs) {
    round_count += output.rounds.size() + output.sweeps.size();
  }
  return first_integer(statements.bound(
      "INSERT INTO shows(key, venue_id, name, started_at, started_day, note, "
      "output_count, round_count, won_db) VALUES(?1,?2,?3,?4,julianday(?4),?5,?6,?7,?8) "
      "ON CONFLICT(key) DO UPDATE SET venue_id = ?2, name = ?3, started_at = ?4, "
      "started_day = julianday(?4), note = ?5, output_count = ?6, "
      "round_count = ?7, won_db = ?8 RETURNING id",
      show.key,
      venue_id,
      show.name,
      show.started_at,
      show.note,
      static_cast<std::int64_t>(show.outputs.size()),
      static_cast<std::int64_t>(round_count),
      show::gain_won_db(show)));
}

std::optional<cuts::Band> read_cut(Columns& columns) {
  const bool is_there = columns.flag();
  const cuts::Band cut = columns.band();
  return is_there ? std::optional(cut) : std::nullopt;
}

show::RoundRecord read_round(SQLite::Statement& row) {
  Columns columns(row);
  show::RoundRecord round;
  round.ring.flagged_at = columns.text();
  round.ring.frequency_hz = columns.number();
  round.ring.frequency_sd_hz = columns.number();
  round.ring.growth_db_per_s = columns.number();
  round.ring.peak_dbfs = columns.number();
  round.ring.confidence = columns.number();
  round.proposed = read_cut(columns);
  round.cut = read_cut(columns);
  round.rang_at_db = columns.maybe_number();
  round.returned_at_db = columns.maybe_number();
  round.has_faded = columns.flag();
  round.note = columns.text();
  round.microphone = columns.text();
  round.ring.laeq_1s_db = columns.maybe_number();
  return round;
}

void read_parts(Statements& statements, std::int64_t output_id, show::OutputRecord& output) {
  auto& points =
      statements.bound("SELECT point FROM prepared WHERE output_id = ? ORDER BY place", output_id);
  while (points.executeStep()) {
    output.prepared.push_back(points.getColumn(0).getString());
  }
  auto& rounds = statements.bound(
      "SELECT flagged_at, frequency_hz, frequency_sd_hz, growth_db_per_s, peak_dbfs, confidence, "
      "is_proposed, proposed_centre_hz, proposed_q, proposed_depth_db, is_cut, cut_centre_hz, "
      "cut_q, cut_depth_db, rang_at_db, returned_at_db, has_faded, note, microphone, laeq_1s_db "
      "FROM rounds "
      "WHERE output_id = ? ORDER BY place",
      output_id);
  while (rounds.executeStep()) {
    output.rounds.push_back(read_round(rounds));
  }
  auto& cuts = statements.bound(
      "SELECT centre_hz, q, depth_db FROM cuts WHERE output_id = ? ORDER BY place", output_id);
  while (cuts.executeStep()) {
    Columns columns(cuts);
    output.cuts.push_back(columns.band());
  }
  output.sweeps = read_sweeps(statements, output_id);
}

std::vector<show::OutputRecord> read_outputs(Statements& statements, std::int64_t show_id) {
  std::vector<show::OutputRecord> outputs;
  auto& rows = statements.bound(
      "SELECT id, name, microphone, position, target, start_at_db, tried_to_db, is_ended, "
      "back_off_db, advice, note FROM outputs WHERE show_id = ? ORDER BY place",
      show_id);
  while (rows.executeStep()) {
    Columns columns(rows);
    const std::int64_t id = columns.integer();
    show::OutputRecord& output = outputs.emplace_back();
    output.name = columns.text();
    output.microphone = columns.text();
    output.position = columns.text();
    output.target = columns.text();
    output.start_at_db = columns.maybe_number();
    output.tried_to_db = columns.maybe_number();
    output.is_ended = columns.flag();
    output.back_off_db = columns.maybe_number();
    output.advice = columns.text();
    output.note = columns.text();
    read_parts(statements, id, output);
  }
  return outputs;
}

std::vector<show::DismissalRecord> read_dismissals(Statements& statements, std::int64_t show_id) {
  std::vector<show::DismissalRecord> dismissals;
  auto& rows = statements.bound(
      "SELECT dismissed_at, frequency_hz, reason FROM dismissals WHERE show_id = ? ORDER BY place",
      show_id);
  while (rows.executeStep()) {
    Columns columns(rows);
    dismissals.push_back({columns.text(), columns.number(), columns.text()});
  }
  return dismissals;
}

std::optional<show::CheckRecord> read_check(Statements& statements, std::int64_t show_id) {
  auto& row = statements.bound(
      "SELECT ended_at, listened_s, loudest_dbfs, older_words FROM checks WHERE show_id = ?",
      show_id);
  if (!row.executeStep()) {
    return std::nullopt;
  }
  Columns columns(row);
  show::CheckRecord check;
  check.ended_at = columns.text();
  check.listened_s = columns.number();
  check.loudest_dbfs = columns.number();
  check.older_words = columns.text();
  row.reset();
  auto& rings = statements.bound(
      "SELECT frequency_hz, rang_in FROM check_rings WHERE show_id = ? ORDER BY place", show_id);
  while (rings.executeStep()) {
    Columns ring(rings);
    check.rang_hz.push_back(ring.number());
    check.rang_in.push_back(ring.text());
  }
  if (std::all_of(check.rang_in.begin(), check.rang_in.end(), [](const std::string& pair) {
        return pair.empty();
      })) {
    check.rang_in.clear();  // not known
  }
  return check;
}

}  // namespace

void write_show(Statements& statements, const show::ShowRecord& show) {
  const auto before = read_show(statements, show.key);
  const std::int64_t id = write_head(statements, show);
  const std::size_t kept = before ? before->outputs.size() : 0;
  for (std::size_t i = 0; i < show.outputs.size(); ++i) {
    if (i >= kept || before->outputs[i] != show.outputs[i]) {
      write_output(statements, id, place_of(i), show.outputs[i]);
    }
  }
  if (kept > show.outputs.size()) {
    statements.run(
        "DELETE FROM outputs WHERE show_id = ? AND place >= ?", id, place_of(show.outputs.size()));
  }
  if (!before || before->dismissals != show.dismissals) {
    write_dismissals(statements, id, show.dismissals);
  }
  if (!before || before->check != show.check) {
    write_check(statements, id, show.check);
  }
  const std::string words = words_of(show);
  if (!before || words != words_of(*before)) {
    statements.run(
        "INSERT INTO show_words VALUES(?1, ?2) "
        "ON CONFLICT(show_id) DO UPDATE SET folded = ?2",
        id,
        words);
  }
}

void mark_live(Statements& statements, const std::string& key) {
  statements.run("INSERT INTO live_shows SELECT id FROM shows WHERE key = ? ON CONFLICT DO NOTHING",
                 key);
}

bool erase_show(Statements& statements, const std::string& key) {
  const int count = statements.bound("DELETE FROM shows WHERE key = ?", key).exec();
  statements.run("DELETE FROM venues WHERE id NOT IN (SELECT venue_id FROM shows)");
  return count > 0;
}

std::optional<show::ShowRecord> read_show(Statements& statements, const std::string& key) {
  auto& head = statements.bound(
      "SELECT shows.id, key, venues.name, shows.name, started_at, note "
      "FROM shows JOIN venues ON venues.id = venue_id WHERE key = ?",
      key);
  if (!head.executeStep()) {
    return std::nullopt;
  }
  Columns columns(head);
  const std::int64_t id = columns.integer();
  show::ShowRecord show;
  show.key = columns.text();
  show.venue = columns.text();
  show.name = columns.text();
  show.started_at = columns.text();
  show.note = columns.text();
  head.reset();
  show.outputs = read_outputs(statements, id);
  show.dismissals = read_dismissals(statements, id);
  show.check = read_check(statements, id);
  return show;
}

}  // namespace brink::io
