#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace brink::sheet {

/// Columns beside one another, each with a label below and its number above where there is room.
struct ColumnChart {
  struct Column {
    std::string label;
    double value = 0.0;
  };

  std::string name;   ///< unique in the page
  std::string title;  ///< for those who do not see it, as is the description
  std::string description;
  std::string unit;  ///< over the axis
  std::vector<Column> columns;
  std::optional<double> limit;  ///< a dashed line across
  std::string limit_words;
  std::optional<double> highest;  ///< of the axis; else what the columns need
  int decimals = 1;
  std::string what;  ///< what the columns are, for the key
};

[[nodiscard]] std::string column_figure(const ColumnChart& chart);

}  // namespace brink::sheet
