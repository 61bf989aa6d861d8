#include "io/book/book_reader.h"

#include <SQLiteCpp/Exception.h>
#include <SQLiteCpp/Transaction.h>

#include <algorithm>
#include <filesystem>
#include <string_view>
#include <utility>

#include "base/error.h"
#include "base/folded.h"
#include "io/book/book_connection.h"
#include "io/book/book_guesses.h"
#include "io/book/book_shows.h"
#include "io/paths.h"

namespace brink::io {
namespace {

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> words;
  std::size_t begin = 0;
  while ((begin = text.find_first_not_of(" \t\n", begin)) != std::string::npos) {
    const std::size_t end = std::min(text.find_first_of(" \t\n", begin), text.size());
    words.push_back(text.substr(begin, end - begin));
    begin = end;
  }
  return words;
}

bool has_all(std::string_view text, const std::vector<std::string>& words) {
  return std::all_of(words.begin(), words.end(), [text](const std::string& word) {
    return text.find(word) != std::string_view::npos;
  });
}

// The texts are looked up only when they are searched: they are most of the file.
constexpr const char* kAllShows =
    "SELECT key, venues.name, shows.name, started_at, output_count, round_count, won_db, "
    "CASE ?1 WHEN 1 THEN (SELECT folded FROM show_words WHERE show_id = shows.id) END "
    "FROM shows JOIN venues ON venues.id = venue_id "
    "ORDER BY started_day DESC, shows.id DESC";
constexpr const char* kShowsOfVenue =
    "SELECT key, venues.name, shows.name, started_at, output_count, round_count, won_db, "
    "CASE ?1 WHEN 1 THEN (SELECT folded FROM show_words WHERE show_id = shows.id) END "
    "FROM shows JOIN venues ON venues.id = venue_id WHERE venues.name = ?2 "
    "ORDER BY started_day DESC, shows.id DESC";
constexpr int kFoldedColumn = 7;

ShowSummary read_summary(SQLite::Statement& row) {
  Columns columns(row);
  ShowSummary summary;
  summary.key = columns.text();
  summary.venue = columns.text();
  summary.name = columns.text();
  summary.started_at = columns.text();
  summary.output_count = columns.count();
  summary.round_count = columns.count();
  summary.won_db = columns.maybe_number();
  return summary;
}

std::vector<ShowSummary> read_summaries(Statements& statements, const ShowFilter& filter) {
  const std::vector<std::string> words = split(base::folded(filter.text));
  const int wants_words = words.empty() ? 0 : 1;
  auto& rows = filter.venue ? statements.bound(kShowsOfVenue, wants_words, *filter.venue)
                            : statements.bound(kAllShows, wants_words);
  std::vector<ShowSummary> summaries;
  std::size_t to_skip = filter.skip;
  while (summaries.size() < filter.most && rows.executeStep()) {
    const SQLite::Column text = rows.getColumn(kFoldedColumn);
    if (!words.empty() &&
        !has_all({text.getText(), static_cast<std::size_t>(text.getBytes())}, words)) {
      continue;
    }
    if (to_skip > 0) {
      --to_skip;
      continue;
    }
    summaries.push_back(read_summary(rows));
  }
  rows.reset();
  return summaries;
}

}  // namespace

/// The connection, opened when there is something to open, and anew when the file is another.
class BookReader::Pages {
 public:
  explicit Pages(std::string path) : path_(std::move(path)) {}

  /// What `look` makes of the statements, from one state of the book; nothing of an empty book.
  template <typename Look>
  auto read(const Look& look) -> decltype(look(std::declval<Statements&>())) {
    try {
      if (!is_open()) {
        return {};
      }
      const SQLite::Transaction one_state(connection_->database());
      return look(connection_->statements());
    } catch (const SQLite::Exception& fault) {
      connection_.reset();
      throw base::Error(sentence_for(fault, path_));
    }
  }

 private:
  bool is_open() {
    if (!connection_ || connection_->has_moved() || !connection_->has_tables()) {
      connection_.reset();
      std::error_code missing;
      if (!std::filesystem::exists(to_path(path_), missing) && !missing) {
        return false;
      }
      connection_.emplace(path_, BookUse::kRead);
    }
    return connection_->has_tables();
  }

  std::string path_;
  std::optional<BookConnection> connection_;
};

BookReader::BookReader(std::string path) : pages_(std::make_unique<Pages>(std::move(path))) {}

BookReader::~BookReader() = default;

std::vector<ShowSummary> BookReader::shows(const ShowFilter& filter) {
  return pages_->read(
      [&filter](Statements& statements) { return read_summaries(statements, filter); });
}

std::optional<show::ShowRecord> BookReader::show(const std::string& key) {
  return pages_->read([&key](Statements& statements) { return read_show(statements, key); });
}

std::optional<std::string> BookReader::newest_live_show() {
  return pages_->read([](Statements& statements) {
    std::optional<std::string> key;
    auto& rows = statements.prepared(
        "SELECT key FROM live_shows JOIN shows ON shows.id = show_id "
        "ORDER BY started_day DESC, shows.id DESC LIMIT 1");
    if (rows.executeStep()) {
      key = rows.getColumn(0).getString();
    }
    rows.reset();
    return key;
  });
}

std::vector<std::string> BookReader::keys(const std::string& beginning, std::size_t most) {
  return pages_->read([&beginning, most](Statements& statements) {
    std::vector<std::string> keys;
    auto& rows = statements.bound("SELECT key FROM shows WHERE key >= ? ORDER BY key", beginning);
    while (keys.size() < most && rows.executeStep()) {
      std::string key = rows.getColumn(0).getString();
      if (key.compare(0, beginning.size(), beginning) != 0) {
        break;
      }
      keys.push_back(std::move(key));
    }
    rows.reset();
    return keys;
  });
}

std::vector<VenueSummary> BookReader::venues() {
  return pages_->read([](Statements& statements) {
    std::vector<VenueSummary> venues;
    // With max(), SQLite takes the other columns from the row that has the maximum.
    auto& rows = statements.prepared(
        "SELECT venues.name, count(*), started_at, max(started_day) FROM venues "
        "JOIN shows ON venue_id = venues.id GROUP BY venues.id ORDER BY venues.name");
    while (rows.executeStep()) {
      Columns columns(rows);
      venues.push_back({columns.text(), columns.count(), columns.text()});
    }
    return venues;
  });
}

std::vector<show::GuessRecord> BookReader::guesses(const std::string& trainee) {
  return pages_->read(
      [&trainee](Statements& statements) { return read_guesses(statements, trainee); });
}

std::vector<TraineeSummary> BookReader::trainees() {
  return pages_->read([](Statements& statements) {
    std::vector<TraineeSummary> trainees;
    auto& rows = statements.prepared(
        "SELECT trainee, count(*) FROM guesses GROUP BY trainee ORDER BY trainee");
    while (rows.executeStep()) {
      Columns columns(rows);
      trainees.push_back({columns.text(), columns.count()});
    }
    return trainees;
  });
}

std::vector<std::string> BookReader::faults() {
  return pages_->read([](Statements& statements) {
    std::vector<std::string> faults;
    auto& rows = statements.prepared("PRAGMA integrity_check");
    while (rows.executeStep()) {
      std::string line = rows.getColumn(0).getString();
      if (line != "ok") {
        faults.push_back(std::move(line));
      }
    }
    return faults;
  });
}

}  // namespace brink::io
