#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/recording/recording_plot.h"

namespace brink::panel {
namespace {

constexpr float kLowestDbfs = -90.0F;

float level_y(const Rect& row, double level_dbfs) {
  const double share = std::clamp(level_dbfs / static_cast<double>(kLowestDbfs), 0.0, 1.0);
  return row.top + row.height() * static_cast<float>(share);
}

void draw_levels(const Rect& row, const Theme& theme) {
  canvas().AddRectFilled(ImVec2(row.left, row.top), ImVec2(row.right, row.bottom), colour::kPlot);
  for (const double level_dbfs : {-30.0, -60.0}) {
    const float y = level_y(row, level_dbfs);
    canvas().AddLine(ImVec2(row.left, y), ImVec2(row.right, y), colour::kGrid);
    draw_text(theme.small,
              row.left - theme.px(8.0F),
              y - 0.5F * theme.small->FontSize,
              colour::kQuiet,
              fmt::format("{:.0f}", level_dbfs),
              Align::kRight);
  }
}

/// The straight growth, laid through what the picture shows of it: its slope is the ring's, its
/// height the mean of the levels between onset and flag. Nothing where the picture has none.
struct GrowthLine {
  double from = 0.0;  // samples
  double to = 0.0;
  double from_dbfs = 0.0;
  double to_dbfs = 0.0;
};

std::optional<GrowthLine> growth_line(const RecordingPicture& picture,
                                      double sample_rate_hz,
                                      const listen::FoundRing& found) {
  const detector::Ring& ring = found.ring;
  if (!(ring.growth_db_per_s > 0.0) || ring.flagged_sample <= ring.onset_sample) {
    return std::nullopt;
  }
  constexpr int kPlaces = 16;
  double sum_db = 0.0;
  int count = 0;
  const auto length = static_cast<double>(ring.flagged_sample - ring.onset_sample);
  for (int i = 0; i < kPlaces; ++i) {
    const double after = length * (i + 0.5) / kPlaces;
    const auto level_dbfs = picture.level_dbfs(
        found.channel, static_cast<double>(ring.onset_sample) + after, ring.frequency_hz);
    if (level_dbfs) {
      sum_db += static_cast<double>(*level_dbfs) - ring.growth_db_per_s * after / sample_rate_hz;
      ++count;
    }
  }
  if (count == 0) {
    return std::nullopt;
  }
  GrowthLine line;
  line.from = static_cast<double>(ring.onset_sample);
  line.from_dbfs = sum_db / count;
  line.to_dbfs = std::max(ring.peak_dbfs, line.from_dbfs);
  line.to = line.from + (line.to_dbfs - line.from_dbfs) / ring.growth_db_per_s * sample_rate_hz;
  return line;
}

}  // namespace

void draw_level_row(const Rect& area,
                    const PlotScale& scale,
                    const RecordingPicture& picture,
                    const listen::Analysis& analysis,
                    const listen::FoundRing& found,
                    const Theme& theme) {
  const Rect row{scale.plot.left, area.top, scale.plot.right, area.bottom};
  draw_levels(row, theme);
  const Clip clip(row);
  std::vector<ImVec2> points;
  for (float x = row.left; x < row.right; x += 1.0F) {
    const auto level_dbfs =
        picture.level_dbfs(found.channel, scale.sample_at(x), found.ring.frequency_hz);
    if (level_dbfs) {
      points.emplace_back(x, level_y(row, static_cast<double>(*level_dbfs)));
    }
  }
  canvas().AddPolyline(
      points.data(), static_cast<int>(points.size()), colour::kSky, 0, theme.px(1.5F));
  if (const auto line = growth_line(picture, analysis.sample_rate_hz, found)) {
    canvas().AddLine(ImVec2(scale.x_of(line->from), level_y(row, line->from_dbfs)),
                     ImVec2(scale.x_of(line->to), level_y(row, line->to_dbfs)),
                     colour::kYellow,
                     theme.px(2.5F));
  }
  const std::string words = fmt::format("{} on channel {}, dBFS; yellow: {} as found",
                                        base::frequency_label(found.ring.frequency_hz),
                                        found.channel,
                                        growth_words(found.ring.growth_db_per_s));
  const float left = row.left + theme.px(8.0F);
  const float top = row.top + theme.px(4.0F);
  canvas().AddRectFilled(
      ImVec2(left - theme.px(4.0F), top),
      ImVec2(left + text_width(theme.small, words) + theme.px(4.0F), top + theme.small->FontSize),
      with_alpha(colour::kPlot, 0.85F));
  draw_text(theme.small, left, top, colour::kText, words);
}

}  // namespace brink::panel
