#include "sheet/column_chart.h"

#include <algorithm>
#include <cmath>

#include "sheet/drawing.h"
#include "sheet/text.h"

namespace brink::sheet {
namespace {

double axis_step(double highest) {
  for (const double step : {0.5, 1.0, 2.0, 5.0, 10.0, 25.0}) {
    if (highest / step <= 6.0) {
      return step;
    }
  }
  return highest / 4.0;
}

std::string draw_columns(const ColumnChart& chart, PictureWidth width) {
  Drawing drawing(chart.name, width, 164.0, chart.title, chart.description);
  double highest = chart.highest.value_or(chart.limit.value_or(1.0) * 1.2);
  for (const auto& column : chart.columns) {
    highest = std::max(highest, chart.highest ? 0.0 : column.value * 1.1);
  }
  const double step = axis_step(highest);
  const LevelAxis up{26.0, drawing.height() - 26.0, step * std::ceil(highest / step - 1e-9), 0.0};
  const double left = 34.0;
  const double right = drawing.width() - 6.0;
  up.draw(drawing, left, right, step, chart.unit);
  const double room =
      (right - left) / static_cast<double>(std::max<std::size_t>(chart.columns.size(), 1));
  const double wide = std::min(0.62 * room, 34.0);
  // Labels and numbers are some 36 and 26 units wide.
  const auto label_apart = static_cast<std::size_t>(std::ceil(36.0 / room));
  for (std::size_t i = 0; i < chart.columns.size(); ++i) {
    const auto& column = chart.columns[i];
    const double x = left + room * (static_cast<double>(i) + 0.5);
    const double y = up.y_of(column.value);
    drawing.add(
        "<rect class=\"bar\" x=\"{:.2f}\" y=\"{:.2f}\" width=\"{:.2f}\" height=\"{:.2f}\"/>\n",
        x - 0.5 * wide,
        y,
        wide,
        up.bottom - y);
  }
  if (chart.limit) {
    drawing.line("limit", left, up.y_of(*chart.limit), right, up.y_of(*chart.limit));
  }
  for (std::size_t i = 0; i < chart.columns.size(); ++i) {
    const auto& column = chart.columns[i];
    const double x = left + room * (static_cast<double>(i) + 0.5);
    if (room >= 26.0) {
      drawing.text(x,
                   up.y_of(column.value) - 5.0,
                   "middle",
                   written_number(column.value, chart.decimals),
                   "strong halo");
    }
    if (i % label_apart == 0) {
      drawing.text(x, up.bottom + 16.0, "middle", column.label);
    }
  }
  return std::move(drawing).finish();
}

}  // namespace

std::string column_figure(const ColumnChart& chart) {
  std::string caption =
      key_entry(R"(<rect class="bar" x="4" y="1" width="10" height="12"/>)", chart.what);
  if (chart.limit) {
    caption += key_entry(R"(<path class="limit" d="M0 7h18"/>)", chart.limit_words);
  }
  return figure([&](PictureWidth width) { return draw_columns(chart, width); }, caption);
}

}  // namespace brink::sheet
