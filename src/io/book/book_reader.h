#pragma once

#include <cstddef>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::io {

/// A show as lists have it.
struct ShowSummary {
  std::string key;
  std::string venue;
  std::string name;
  std::string started_at;
  int output_count = 0;
  int round_count = 0;
  std::optional<double> won_db;  ///< see io/show_gain.h

  friend bool operator==(const ShowSummary&, const ShowSummary&) = default;
};

struct ShowFilter {
  std::optional<std::string> venue = std::nullopt;  ///< its exact name
  std::string text =
      {};  ///< every word of it occurs in the show's texts, in small or capital letters
  std::size_t skip = 0;
  std::size_t most = std::numeric_limits<std::size_t>::max();
};

struct VenueSummary {
  std::string name;
  int show_count = 0;
  std::string last_started_at;  ///< of its newest show

  friend bool operator==(const VenueSummary&, const VenueSummary&) = default;
};

struct TraineeSummary {
  std::string name;
  int guess_count = 0;

  friend bool operator==(const TraineeSummary&, const TraineeSummary&) = default;
};

/// Reads a book on a connection of its own, also while another program or thread writes to it: each
/// call sees everything kept before it. A book that is not there yet is an empty one. Every call
/// throws base::Error with one sentence when the file cannot be read, and may be tried again. [one
/// thread at a time]
class BookReader {
 public:
  /// Opens nothing yet.
  explicit BookReader(std::string path);
  ~BookReader();
  BookReader(const BookReader&) = delete;
  BookReader& operator=(const BookReader&) = delete;
  BookReader(BookReader&&) = delete;
  BookReader& operator=(BookReader&&) = delete;

  /// Newest first; those without a readable time of day last.
  [[nodiscard]] std::vector<ShowSummary> shows(const ShowFilter& filter = {});
  [[nodiscard]] std::optional<show::ShowRecord> show(const std::string& key);
  /// The newest of those that were rung out live with this book, not merged or imported.
  [[nodiscard]] std::optional<std::string> newest_live_show();
  /// Those whose key begins so: a user types a few digits only. At most `most`.
  [[nodiscard]] std::vector<std::string> keys(const std::string& beginning, std::size_t most = 2);
  /// By name.
  [[nodiscard]] std::vector<VenueSummary> venues();

  /// Oldest first; of everybody when `trainee` is empty.
  [[nodiscard]] std::vector<show::GuessRecord> guesses(const std::string& trainee = {});
  /// By name.
  [[nodiscard]] std::vector<TraineeSummary> trainees();

  /// Looks at every page of the file (takes a while): nothing when it is sound, else what SQLite
  /// says is wrong.
  [[nodiscard]] std::vector<std::string> faults();

 private:
  class Pages;

  std::unique_ptr<Pages> pages_;
};

}  // namespace brink::io
