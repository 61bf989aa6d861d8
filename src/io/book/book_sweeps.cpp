#include "io/book/book_sweeps.h"

#include <cstddef>

#include "io/book/book_statements.h"

namespace brink::io {
namespace {

int place_of(std::size_t index) {
  return static_cast<int>(index);
}

void write_parts(Statements& statements,
                 std::int64_t output_id,
                 int sweep,
                 const show::SweepRecord& record) {
  for (std::size_t i = 0; i < record.rings.size(); ++i) {
    statements.run("INSERT INTO sweep_rings VALUES(?,?,?,?,?)",
                   output_id,
                   sweep,
                   place_of(i),
                   record.rings[i].frequency_hz,
                   record.rings[i].until_db);
  }
  for (std::size_t i = 0; i < record.cuts.size(); ++i) {
    statements.run("INSERT INTO sweep_cuts VALUES(?,?,?,?,?,?)",
                   output_id,
                   sweep,
                   place_of(i),
                   record.cuts[i].centre_hz,
                   record.cuts[i].q,
                   record.cuts[i].depth_db);
  }
  for (std::size_t i = 0; i < record.warnings.size(); ++i) {
    statements.run("INSERT INTO sweep_warnings VALUES(?,?,?,?)",
                   output_id,
                   sweep,
                   place_of(i),
                   record.warnings[i]);
  }
}

void read_parts(Statements& statements,
                std::int64_t output_id,
                int sweep,
                show::SweepRecord& record) {
  auto& rings = statements.bound(
      "SELECT frequency_hz, until_db FROM sweep_rings WHERE output_id = ? AND sweep = ? "
      "ORDER BY place",
      output_id,
      sweep);
  while (rings.executeStep()) {
    Columns columns(rings);
    record.rings.push_back({columns.number(), columns.number()});
  }
  auto& cuts = statements.bound(
      "SELECT centre_hz, q, depth_db FROM sweep_cuts WHERE output_id = ? AND sweep = ? "
      "ORDER BY place",
      output_id,
      sweep);
  while (cuts.executeStep()) {
    Columns columns(cuts);
    record.cuts.push_back(columns.band());
  }
  auto& warnings = statements.bound(
      "SELECT sentence FROM sweep_warnings WHERE output_id = ? AND sweep = ? ORDER BY place",
      output_id,
      sweep);
  while (warnings.executeStep()) {
    record.warnings.push_back(warnings.getColumn(0).getString());
  }
}

}  // namespace

void write_sweeps(Statements& statements,
                  std::int64_t output_id,
                  const std::vector<show::SweepRecord>& sweeps) {
  for (std::size_t i = 0; i < sweeps.size(); ++i) {
    const show::SweepRecord& sweep = sweeps[i];
    statements.run("INSERT INTO sweeps VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                   output_id,
                   place_of(i),
                   sweep.made_at,
                   sweep.from,
                   sweep.level_dbfs,
                   sweep.over_noise_db,
                   sweep.console_delay_ms,
                   sweep.console_gain_db,
                   sweep.distance_m,
                   static_cast<int>(sweep.is_delay_known),
                   sweep.stable_gain_db,
                   sweep.stable_gain_most_db,
                   sweep.won_least_db,
                   sweep.won_most_db,
                   sweep.lost_db,
                   sweep.note);
    write_parts(statements, output_id, place_of(i), sweep);
  }
}

std::vector<show::SweepRecord> read_sweeps(Statements& statements, std::int64_t output_id) {
  std::vector<show::SweepRecord> sweeps;
  auto& rows = statements.bound(
      "SELECT made_at, source, level_dbfs, over_noise_db, console_delay_ms, console_gain_db, "
      "distance_m, is_delay_known, stable_gain_db, stable_gain_most_db, won_least_db, won_most_db, "
      "lost_db, note FROM sweeps WHERE output_id = ? ORDER BY place",
      output_id);
  while (rows.executeStep()) {
    Columns columns(rows);
    show::SweepRecord& sweep = sweeps.emplace_back();
    sweep.made_at = columns.text();
    sweep.from = columns.text();
    sweep.level_dbfs = columns.maybe_number();
    sweep.over_noise_db = columns.maybe_number();
    sweep.console_delay_ms = columns.maybe_number();
    sweep.console_gain_db = columns.maybe_number();
    sweep.distance_m = columns.maybe_number();
    sweep.is_delay_known = columns.flag();
    sweep.stable_gain_db = columns.number();
    sweep.stable_gain_most_db = columns.number();
    sweep.won_least_db = columns.number();
    sweep.won_most_db = columns.number();
    sweep.lost_db = columns.number();
    sweep.note = columns.text();
  }
  for (std::size_t i = 0; i < sweeps.size(); ++i) {
    read_parts(statements, output_id, place_of(i), sweeps[i]);
  }
  return sweeps;
}

}  // namespace brink::io
