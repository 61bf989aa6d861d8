#include <algorithm>
#include <cmath>

#include "sheet/pictures.h"
#include "sheet/text.h"
#include "sheet/words.h"

namespace brink::sheet {
namespace {

constexpr double kTallestRows = 620.0;  // so that a picture fits on a page
constexpr double kRow = 22.0;
constexpr double kNarrowRow = 38.0;
constexpr double kLeastLabelledRow = 13.0;
constexpr double kAxisHeight = 38.0;
/// Growth that is drawn as a stroke of 45 degrees.
constexpr double kDiagonalDbPerS = 30.0;

Mark mark_of(RingState state) {
  switch (state) {
    case RingState::kFaded:
      return Mark::kDisc;
    case RingState::kCameBack:
      return Mark::kTriangle;
    case RingState::kNotSeenToFade:
      return Mark::kSquare;
    case RingState::kNotCut:
      return Mark::kDiamond;
  }
  return Mark::kDiamond;
}

struct Rows {
  double top = 8.0;
  double height = kRow;
  std::size_t count = 0;

  Rows(std::size_t rows, bool is_narrow)
      : height(std::min(is_narrow ? kNarrowRow : kRow,
                        kTallestRows / static_cast<double>(std::max<std::size_t>(rows, 1)))),
        count(rows) {}

  [[nodiscard]] double bottom() const { return top + height * static_cast<double>(count); }

  [[nodiscard]] double middle(std::size_t row) const {
    return top + height * (static_cast<double>(row) + 0.5);
  }

  /// The rows that have words: all of them, or as many as fit.
  [[nodiscard]] bool has_words(std::size_t row) const {
    const auto apart = static_cast<std::size_t>(std::ceil(kLeastLabelledRow / height));
    return row % apart == 0;
  }

  [[nodiscard]] bool is_roomy() const { return height >= kLeastLabelledRow; }
};

/// The level's rise up to the mark: the steeper, the faster it grew.
void draw_growth(Drawing& drawing, double x, double y, double growth_db_per_s, double length) {
  if (!std::isfinite(growth_db_per_s)) {
    return;
  }
  const double angle = std::atan(growth_db_per_s / kDiagonalDbPerS);
  drawing.line("growth", x - length * std::cos(angle), y + length * std::sin(angle), x, y);
}

std::string ring_words(const show::RingRecord& ring) {
  return fmt::format(
      "{}, {} dB/s", written_hz(ring.frequency_hz), written_number(ring.growth_db_per_s, 0));
}

void draw_ring(Drawing& drawing,
               const SheetOutput& output,
               std::size_t i,
               const Rows& rows,
               const FrequencyAxis& axis) {
  const show::RingRecord& ring = output.record->rounds[i].ring;
  const double x = axis.x_of(ring.frequency_hz);
  // In the narrow picture the words are above their line.
  const double y = rows.middle(i) + (drawing.is_narrow() && rows.is_roomy() ? 9.0 : 0.0);
  if (rows.is_roomy()) {
    drawing.line("row", axis.left, y, axis.right, y);
  }
  draw_growth(drawing, x, y, ring.growth_db_per_s, std::min(16.0, 1.2 * rows.height));
  drawing.mark(mark_of(output.rounds[i].state), x, y, rows.is_roomy() ? 5.0 : 3.0);
  if (!rows.has_words(i)) {
    return;
  }
  const std::string when = fmt::format("{}  {}", i + 1, shortened(clock_of(ring.flagged_at), 12));
  if (drawing.is_narrow()) {
    if (rows.is_roomy()) {
      drawing.text(0.0, y - 10.0, "start", when);
      drawing.text(axis.right, y - 10.0, "end", ring_words(ring), "strong");
    }
    return;
  }
  drawing.text(0.0, y + 4.0, "start", when);
  if (rows.is_roomy()) {
    const bool is_right = x < axis.left + 0.72 * (axis.right - axis.left);
    drawing.text(x + (is_right ? 12.0 : -24.0),
                 y + 4.0,
                 is_right ? "start" : "end",
                 ring_words(ring),
                 "strong halo");
  }
}

std::string draw_rings(const SheetOutput& output, std::size_t number, PictureWidth width) {
  const std::size_t count = output.record->rounds.size();
  const Rows rows(count, width == PictureWidth::kNarrow);
  Drawing drawing(fmt::format("rings-{}", number),
                  width,
                  rows.bottom() + kAxisHeight,
                  fmt::format("Rings on a frequency line, {}", output.record->name),
                  plain_rings(output));
  const FrequencyAxis axis{drawing.is_narrow() ? 6.0 : 92.0, drawing.width() - 10.0};
  axis.draw(drawing, rows.top, rows.bottom() + 2.0);
  for (std::size_t i = 0; i < count; ++i) {
    draw_ring(drawing, output, i, rows, axis);
  }
  return std::move(drawing).finish();
}

std::string state_key(RingState state) {
  return key_entry(mark_svg(mark_of(state), 9.0, 7.0, 5.0), written_state(state));
}

std::string overview_words(const std::vector<SheetOutput>& outputs, std::size_t dismissals) {
  std::vector<std::string> items;
  items.reserve(outputs.size() + 1);
  for (const SheetOutput& output : outputs) {
    items.push_back(
        fmt::format("{}: {}", output.record->name, counted(output.rounds.size(), "ring")));
  }
  if (dismissals > 0) {
    items.push_back(fmt::format("not a ring: {}", dismissals));
  }
  return fmt::format("{}.", listed(items));
}

/// The line of a row with its name; returns its height.
double draw_named_line(Drawing& drawing,
                       const Rows& rows,
                       const FrequencyAxis& axis,
                       std::size_t row,
                       const std::string& name) {
  const bool is_narrow = drawing.is_narrow();
  const double y = rows.middle(row) + (is_narrow && rows.is_roomy() ? 9.0 : 0.0);
  drawing.line("row", axis.left, y, axis.right, y);
  if (!is_narrow && rows.has_words(row)) {
    drawing.text(0.0, y + 4.0, "start", shortened(name, 21));
  } else if (is_narrow && rows.is_roomy()) {
    drawing.text(0.0, y - 10.0, "start", shortened(name, 40), "halo");
  }
  return y;
}

std::string draw_overview(const std::vector<SheetOutput>& outputs,
                          const std::vector<show::DismissalRecord>& dismissals,
                          PictureWidth width) {
  const Rows rows(outputs.size() + (dismissals.empty() ? 0 : 1), width == PictureWidth::kNarrow);
  Drawing drawing("overview",
                  width,
                  rows.bottom() + kAxisHeight,
                  "All rings of the show, a frequency line for each output",
                  overview_words(outputs, dismissals.size()));
  const FrequencyAxis axis{drawing.is_narrow() ? 6.0 : 150.0, drawing.width() - 10.0};
  axis.draw(drawing, rows.top, rows.bottom() + 2.0);
  for (std::size_t i = 0; i < outputs.size(); ++i) {
    const std::string name = fmt::format("{}  {}", i + 1, outputs[i].record->name);
    const double y = draw_named_line(drawing, rows, axis, i, name);
    for (std::size_t j = 0; j < outputs[i].rounds.size(); ++j) {
      const double x = axis.x_of(outputs[i].record->rounds[j].ring.frequency_hz);
      drawing.mark(mark_of(outputs[i].rounds[j].state), x, y, std::min(5.0, 0.4 * rows.height));
    }
  }
  if (!dismissals.empty()) {
    const double y = draw_named_line(drawing, rows, axis, outputs.size(), "Not a ring");
    for (const show::DismissalRecord& dismissal : dismissals) {
      drawing.mark(Mark::kCross, axis.x_of(dismissal.frequency_hz), y);
    }
  }
  return std::move(drawing).finish();
}

/// The states that occur, in one order everywhere.
std::string states_key(const std::vector<SheetOutput>& outputs) {
  std::string key;
  for (const RingState state : kRingStates) {
    const bool occurs = std::any_of(outputs.begin(), outputs.end(), [&](const SheetOutput& output) {
      return std::any_of(output.rounds.begin(), output.rounds.end(), [&](const SheetRound& round) {
        return round.state == state;
      });
    });
    key += occurs ? state_key(state) : "";
  }
  return key;
}

}  // namespace

std::string rings_figure(const SheetOutput& output, std::size_t number) {
  const std::string caption =
      states_key({output}) +
      key_entry(R"(<path class="growth" d="M3 13l11 -11"/>)",
                fmt::format("growth up to the mark, steeper is faster; 45° is {:.0f} dB/s",
                            kDiagonalDbPerS));
  return figure([&](PictureWidth width) { return draw_rings(output, number, width); }, caption);
}

std::string overview_figure(const std::vector<SheetOutput>& outputs,
                            const std::vector<show::DismissalRecord>& dismissals) {
  std::string caption = states_key(outputs);
  if (!dismissals.empty()) {
    caption += key_entry(mark_svg(Mark::kCross, 9.0, 7.0, 5.0), "not a ring");
  }
  return figure([&](PictureWidth width) { return draw_overview(outputs, dismissals, width); },
                caption);
}

}  // namespace brink::sheet
