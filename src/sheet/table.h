#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace brink::sheet {

struct SheetColumn {
  std::string name;
  bool is_left = false;  ///< words, not numbers
  bool is_main = false;  ///< what one looks for
  bool is_full = false;  ///< a line of its own on a phone
};

/// A table that becomes one card for each row on a phone. Its roles are written out, since a table
/// that is laid out otherwise loses them. Caption and cells are markup; the first cell heads its
/// row. A table of at most 20 rows is never cut by the end of a page; a longer one is, between
/// rows, and repeats its head.
class SheetTable {
 public:
  /// `is_tight`: few and narrow columns, which stay a table on a phone.
  SheetTable(std::string_view caption, std::vector<SheetColumn> columns, bool is_tight = false);

  /// Adds a row. `cells` has one cell for each column.
  void add(const std::vector<std::string>& cells);

  [[nodiscard]] std::string finish() &&;

 private:
  std::string caption_;
  std::vector<SheetColumn> columns_;
  bool is_tight_;
  std::string rows_;
  std::size_t count_ = 0;
};

}  // namespace brink::sheet
