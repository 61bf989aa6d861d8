#include <algorithm>
#include <cmath>

#include "sheet/pictures.h"
#include "sheet/text.h"
#include "sheet/words.h"

namespace brink::sheet {
namespace {

bool is_number(const std::optional<double>& value) {
  return value && std::isfinite(*value);
}

/// All fader positions that the picture shows.
std::vector<double> positions_db(const SheetOutput& output) {
  std::vector<double> list;
  const auto keep = [&](const std::optional<double>& value) {
    if (is_number(value)) {
      list.push_back(*value);
    }
  };
  keep(output.record->start_at_db);
  keep(output.leave_at_db);
  for (const show::RoundRecord& round : output.record->rounds) {
    keep(round.rang_at_db);
    keep(round.returned_at_db);
  }
  return list;
}

double grid_step(double range_db) {
  for (const double step : {1.0, 2.0, 3.0, 6.0, 10.0, 20.0, 50.0}) {
    if (range_db / step <= 8.0) {
      return step;
    }
  }
  return range_db / 8.0;
}

LevelAxis axis_over(std::vector<double> positions, double top, double bottom, double& step) {
  const auto [low, high] = std::minmax_element(positions.begin(), positions.end());
  step = grid_step(*high - *low + 2.0);
  return {
      top, bottom, step * std::ceil((*high + 0.8) / step), step * std::floor((*low - 0.8) / step)};
}

struct Columns {
  double left = 0.0;
  double width = 0.0;

  [[nodiscard]] double middle(std::size_t i) const {
    return left + width * (static_cast<double>(i) + 0.5);
  }
};

void draw_round(Drawing& drawing,
                const SheetOutput& output,
                std::size_t i,
                const Columns& columns,
                const LevelAxis& up) {
  const show::RoundRecord& round = output.record->rounds[i];
  const double x = columns.middle(i);
  const double half = std::min(0.36 * columns.width, 22.0);
  if (is_number(round.rang_at_db)) {
    drawing.line(
        "rang", x - half, up.y_of(*round.rang_at_db), x + half, up.y_of(*round.rang_at_db));
  }
  if (!is_number(round.returned_at_db)) {
    return;
  }
  const double to = up.y_of(*round.returned_at_db);
  drawing.line("came", x - half, to, x + half, to);
  if (!is_number(round.rang_at_db)) {
    return;
  }
  const double from = up.y_of(*round.rang_at_db);
  drawing.add(
      "<rect class=\"won\" x=\"{:.2f}\" y=\"{:.2f}\" width=\"{:.2f}\" height=\"{:.2f}\"/>\n",
      x - 0.5 * half,
      std::min(from, to),
      half,
      std::abs(from - to));
  if (columns.width >= 26.0) {
    drawing.text(x,
                 std::min(from, to) - 5.0,
                 "middle",
                 written_change_db(*output.rounds[i].won_db)
                     .substr(0, written_change_db(*output.rounds[i].won_db).find("\xC2\xA0")),
                 "strong halo");
  }
}

void draw_margin(Drawing& drawing, const SheetOutput& output, const LevelAxis& up, double left) {
  if (!is_number(output.leave_at_db) || !is_number(output.edge_db)) {
    return;
  }
  const double right = drawing.width() - 10.0;
  const double x = right - 12.0;
  const double leave = up.y_of(*output.leave_at_db);
  const double edge = up.y_of(*output.edge_db);
  drawing.line("edge", left, edge, right, edge);
  drawing.line("leave", left, leave, right, leave);
  drawing.line("span", x, edge, x, leave);
  drawing.add("<path class=\"ink\" d=\"M{0:.2f} {1:.2f}l-4 -8h8z\"/>\n", x, leave);
  const double middle = 0.5 * (edge + leave) + 4.0;
  drawing.text(x - 8.0, middle, "end", written_db(output.record->back_off_db), "strong halo");
}

std::string draw_climb(const SheetOutput& output, std::size_t number, PictureWidth width) {
  const std::size_t count = output.record->rounds.size();
  Drawing drawing(fmt::format("climb-{}", number),
                  width,
                  184.0,
                  fmt::format("Fader positions from round to round, {}", output.record->name),
                  plain_rounds(output));
  double step = 1.0;
  const LevelAxis up = axis_over(positions_db(output), 26.0, drawing.height() - 38.0, step);
  const double left = 40.0;
  const double right = drawing.width() - 10.0;
  up.draw(drawing, left, right, step, "fader, dB");
  const double room = output.leave_at_db ? 76.0 : 8.0;
  const Columns columns{
      left, (right - room - left) / static_cast<double>(std::max<std::size_t>(count, 1))};
  draw_margin(drawing, output, up, left);
  const auto apart = static_cast<std::size_t>(std::ceil(20.0 / columns.width));
  for (std::size_t i = 0; i < count; ++i) {
    draw_round(drawing, output, i, columns, up);
    if (i % apart == 0) {
      drawing.text(columns.middle(i), up.bottom + 15.0, "middle", fmt::format("{}", i + 1));
    }
  }
  drawing.text(0.5 * (left + right), up.bottom + 31.0, "middle", "round");
  return std::move(drawing).finish();
}

}  // namespace

std::string climb_figure(const SheetOutput& output, std::size_t number) {
  if (positions_db(output).empty()) {
    return {};
  }
  std::string caption =
      key_entry(R"(<path class="rang" d="M0 7h18"/>)", "it rang") +
      key_entry(R"(<path class="came" d="M0 7h18"/>)", "it came back after the cut") +
      key_entry(R"(<rect class="won" x="5" y="1" width="8" height="12"/>)", "won, dB");
  if (is_number(output.leave_at_db)) {
    caption +=
        key_entry(R"(<path class="leave" d="M0 7h18"/>)", "leave it here") +
        key_entry(R"(<path class="span" d="M9 0v10"/><path class="ink" d="M9 14l-4 -7h8z"/>)",
                  "margin");
  }
  return figure([&](PictureWidth width) { return draw_climb(output, number, width); }, caption);
}

}  // namespace brink::sheet
