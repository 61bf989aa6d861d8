#pragma once

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <cmath>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "io/book/kept_band.h"

namespace brink::io {

/// Statements of one connection, each prepared once. Ends before its database does.
class Statements {
 public:
  explicit Statements(SQLite::Database& database) : database_(database) {}

  /// Ready to bind and run. `sql` is a literal: its text is what it is known by.
  SQLite::Statement& prepared(const char* sql) {
    auto found = statements_.find(sql);
    if (found == statements_.end()) {
      found = statements_.try_emplace(sql, database_, sql).first;
    }
    found->second.reset();
    found->second.clearBindings();
    return found->second;
  }

  /// Prepared, with these values in order. Text must stay until the statement has run.
  template <typename... Values>
  SQLite::Statement& bound(const char* sql, const Values&... values) {
    SQLite::Statement& statement = prepared(sql);
    int index = 0;
    (bind(statement, ++index, values), ...);
    return statement;
  }

  /// Runs one that gives no rows.
  template <typename... Values>
  void run(const char* sql, const Values&... values) {
    bound(sql, values...).exec();
  }

 private:
  static void bind(SQLite::Statement& statement, int index, std::int64_t value) {
    statement.bind(index, value);
  }

  static void bind(SQLite::Statement& statement, int index, int value) {
    statement.bind(index, value);
  }

  /// What is no number is kept as nothing: SQLite has no NaN, JSON no infinity.
  static void bind(SQLite::Statement& statement, int index, double value) {
    if (std::isfinite(value)) {
      statement.bind(index, value);
    }
  }

  static void bind(SQLite::Statement& statement, int index, const std::optional<double>& value) {
    if (value) {
      bind(statement, index, *value);
    }
  }

  static void bind(SQLite::Statement& statement, int index, const std::string& text) {
    statement.bindNoCopy(index, text);
  }

  SQLite::Database& database_;
  std::map<std::string_view, SQLite::Statement> statements_;
};

/// Reads the columns of a row from left to right.
class Columns {
 public:
  explicit Columns(SQLite::Statement& statement) : statement_(statement) {}

  std::int64_t integer() { return next().getInt64(); }

  int count() { return next().getInt(); }

  bool flag() { return next().getInt() != 0; }

  /// Nothing reads as 0.
  double number() { return next().getDouble(); }

  /// Centre, Q and depth.
  cuts::Band band() {
    const double centre_hz = number();
    const double q = number();
    return kept_band(centre_hz, q, number());
  }

  std::string text() { return next().getString(); }

  std::optional<double> maybe_number() {
    const SQLite::Column column = next();
    return column.isNull() ? std::nullopt : std::optional(column.getDouble());
  }

 private:
  SQLite::Column next() { return statement_.getColumn(index_++); }

  SQLite::Statement& statement_;
  int index_ = 0;
};

}  // namespace brink::io
