#include "report/book/book_import.h"

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace brink::report {
namespace {

/// Sorts `record` in, given what the book has under its key.
template <typename Record>
void sort_in(Import& import,
             std::vector<Record>& kept,
             const std::optional<Record>& present,
             Record record,
             bool replaces) {
  if (present == record) {
    ++import.same_count;
    return;
  }
  if (!present) {
    ++import.new_count;
  } else {
    ++import.changed_count;
    if (!replaces) {
      return;
    }
  }
  kept.push_back(std::move(record));
}

/// Each key once, with what came last under it.
template <typename Record>
std::map<std::string, Record> by_key(std::vector<Record> records) {
  std::map<std::string, Record> sorted;
  for (Record& record : records) {
    std::string key = record.key;
    sorted.insert_or_assign(std::move(key), std::move(record));
  }
  return sorted;
}

}  // namespace

Import plan_import(io::BookReader& reader, io::BookAction brought, bool replaces) {
  Import import;
  for (auto& [key, show] : by_key(std::move(brought.shows))) {
    sort_in(import, import.action.shows, reader.show(key), std::move(show), replaces);
  }
  if (brought.guesses.empty()) {
    return import;
  }
  const auto present = by_key(reader.guesses());
  for (auto& [key, guess] : by_key(std::move(brought.guesses))) {
    const auto found = present.find(key);
    const auto before = found == present.end() ? std::nullopt : std::optional(found->second);
    sort_in(import, import.action.guesses, before, std::move(guess), replaces);
  }
  return import;
}

}  // namespace brink::report
