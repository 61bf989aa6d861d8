#include <algorithm>
#include <array>
#include <cmath>

#include "cuts/filters.h"
#include "sheet/pictures.h"
#include "sheet/text.h"
#include "sheet/words.h"

namespace brink::sheet {
namespace {

constexpr double kHighestDb = 3.0;

/// Even steps on the axis; each cut's centre and its flanks, so that no dip is lost between.
std::vector<double> curve_frequencies(const cuts::Setting& setting, int steps) {
  const double low_hz = FrequencyAxis::kLowestHz;
  const double high_hz = FrequencyAxis::kHighestHz;
  std::vector<double> list;
  for (int step = 0; step <= steps; ++step) {
    list.push_back(low_hz * std::pow(high_hz / low_hz, static_cast<double>(step) / steps));
  }
  for (const cuts::Cut& cut : setting.cuts) {
    const double octaves = cuts::q_to_bandwidth(cut.q);
    for (const double share : {-1.0, -0.5, -0.25, -0.1, 0.0, 0.1, 0.25, 0.5, 1.0}) {
      list.push_back(std::clamp(cut.centre_hz * std::exp2(share * octaves), low_hz, high_hz));
    }
  }
  std::sort(list.begin(), list.end());
  return list;
}

constexpr double kNumberRadius = 8.0;
constexpr double kNumberRow = 18.0;
constexpr std::size_t kMostNumberRows = 3;

/// The row of each cut's number over the dips: up to three, where they would lie upon each other.
/// A cut that finds no room there gets no number.
std::vector<std::size_t> number_rows(const SheetOutput& output, const FrequencyAxis& axis) {
  std::array<double, kMostNumberRows> taken{-100.0, -100.0, -100.0};
  std::vector<std::size_t> rows;
  for (const SheetCut& cut : output.cuts) {
    const double x = axis.x_of(cut.cut.centre_hz);
    const auto* const row = std::find_if(taken.begin(), taken.end(), [&](double other) {
      return x - other > 2.0 * kNumberRadius + 1.0;
    });
    rows.push_back(static_cast<std::size_t>(row - taken.begin()));
    if (row != taken.end()) {
      taken[rows.back()] = x;
    }
  }
  return rows;
}

void draw_numbers(Drawing& drawing,
                  const SheetOutput& output,
                  const FrequencyAxis& axis,
                  const std::vector<std::size_t>& rows) {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i] == kMostNumberRows) {
      continue;
    }
    const double x = axis.x_of(output.cuts[i].cut.centre_hz);
    const double y = 10.0 + kNumberRow * static_cast<double>(rows[i]);
    drawing.add("<circle class=\"number\" cx=\"{:.2f}\" cy=\"{:.2f}\" r=\"{:.1f}\"/>\n",
                x,
                y,
                kNumberRadius);
    drawing.text(x, y + 4.0, "middle", fmt::format("{}", i + 1), "in");
  }
}

/// Height that the numbers need.
double numbers_height(const std::vector<std::size_t>& rows) {
  std::size_t count = 1;
  for (const std::size_t row : rows) {
    count = std::max(count, std::min(row + 1, kMostNumberRows));
  }
  return kNumberRow * static_cast<double>(count);
}

double lowest_of(const SheetOutput& output, const std::vector<double>& frequencies) {
  double lowest_db = -9.0;
  for (const cuts::Cut& cut : output.setting.cuts) {
    lowest_db = std::min(lowest_db, output.level_db(cut.centre_hz));
  }
  for (const double f_hz : frequencies) {
    // The slope of a high-pass says nothing about the depth of a cut.
    if (f_hz > 2.0 * output.setting.high_pass.corner_hz) {
      lowest_db = std::min(lowest_db, output.level_db(f_hz));
    }
  }
  return std::max(3.0 * std::floor(lowest_db / 3.0 - 0.2), -36.0);
}

std::string draw_curve(const SheetOutput& output, std::size_t number, PictureWidth width) {
  Drawing drawing(fmt::format("curve-{}", number),
                  width,
                  width == PictureWidth::kWide ? 218.0 : 250.0,
                  fmt::format("Response of the equaliser, {}", output.record->name),
                  plain_cuts(output));
  const FrequencyAxis across{34.0, drawing.width() - 10.0};
  const auto frequencies = curve_frequencies(output.setting, drawing.is_narrow() ? 180 : 360);
  const std::vector<std::size_t> rows = number_rows(output, across);
  const LevelAxis up{numbers_height(rows) + 8.0,
                     drawing.height() - 40.0,
                     kHighestDb,
                     lowest_of(output, frequencies)};
  up.draw(drawing, across.left, across.right, up.lowest < -18.0 ? 6.0 : 3.0, "dB");
  across.draw(drawing, up.top, up.bottom);
  drawing.add(R"(<polyline class="curve" points=")");
  for (const double f_hz : frequencies) {
    const double level_db = output.level_db(f_hz);
    if (level_db >= up.lowest - 6.0) {  // the rest lies under the floor
      drawing.add("{:.2f},{:.2f} ", across.x_of(f_hz), up.y_of(level_db));
    }
  }
  drawing.add("\"/>\n");
  for (const show::RoundRecord& round : output.record->rounds) {
    drawing.mark(Mark::kTriangle, across.x_of(round.ring.frequency_hz), up.bottom - 4.0, 4.0);
  }
  draw_numbers(drawing, output, across, rows);
  return std::move(drawing).finish();
}

}  // namespace

std::string curve_figure(const SheetOutput& output, std::size_t number) {
  std::string caption = key_entry(R"(<path class="curve" d="M0 7h18"/>)", "all cuts together");
  if (!output.cuts.empty()) {
    caption += key_entry(
        R"(<circle class="number" cx="9" cy="7" r="6"/><text class="in small" x="9" y="10" text-anchor="middle">1</text>)",
        "cut, by its number in the table");
  }
  if (!output.record->rounds.empty()) {
    caption += key_entry(mark_svg(Mark::kTriangle, 9.0, 8.0, 4.0), "it rang here");
  }
  return figure([&](PictureWidth width) { return draw_curve(output, number, width); }, caption);
}

}  // namespace brink::sheet
