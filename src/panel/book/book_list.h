#pragma once

#include <optional>
#include <span>

#include "io/book/book_reader.h"
#include "panel/actions.h"

namespace brink::panel {

/// How many rows of the list of shows fit into the area, at least 1.
[[nodiscard]] int book_rows_in(const Rect& area, const Theme& theme) noexcept;

/// The first row to show. It moves only so far that `selected` is among the `fitting` rows.
[[nodiscard]] int first_row_for(int first, int selected, int fitting, int count) noexcept;

/// Draws as many shows as fit, one in each row, from `first` on. So the cost does not depend on the
/// length of the list. Returns the row that was clicked.
std::optional<int> draw_book_list(const Rect& area,
                                  std::span<const io::ShowSummary> shows,
                                  int first,
                                  int selected,
                                  const Actions& actions,
                                  const Theme& theme);

}  // namespace brink::panel
