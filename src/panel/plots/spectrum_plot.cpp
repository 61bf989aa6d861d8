#include "panel/plots/spectrum_plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <string>
#include <vector>

#include "base/units.h"
#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

constexpr double kTopDbfs = 0.0;
constexpr double kBottomDbfs = -110.0;
constexpr double kDeepestCutDb = -30.0;
constexpr float kStepPx = 3.0F;  // step of the response's curve; the curve is smooth

float y_of(const Rect& plot, double level_dbfs) {
  const double share = (kTopDbfs - level_dbfs) / (kTopDbfs - kBottomDbfs);
  return plot.top + plot.height() * static_cast<float>(std::clamp(share, 0.0, 1.0));
}

bool has_any(const cuts::Setting& setting) {
  return !setting.cuts.empty() || setting.high_pass.corner_hz > 0.0;
}

float response_y(const Rect& plot, double gain_db, const Theme& theme) {
  const float zero_y = plot.top + theme.px(26.0F);
  const auto depth = static_cast<float>(std::clamp(gain_db / kDeepestCutDb, 0.0, 1.0));
  return zero_y + (plot.bottom - zero_y) * depth;
}

/// The response's own scale, at the right edge, in its colour: the one at the left is the level's.
void draw_response_scale(const Rect& plot, ImU32 paint, const Theme& theme) {
  constexpr int kStepDb = 6;
  const float apart = response_y(plot, -kStepDb, theme) - response_y(plot, 0.0, theme);
  const int step_db = apart < 1.1F * theme.small->FontSize ? 2 * kStepDb : kStepDb;
  for (int gain_db = -step_db; gain_db > static_cast<int>(kDeepestCutDb); gain_db -= step_db) {
    const float y = response_y(plot, gain_db, theme);
    canvas().AddLine(ImVec2(plot.right - theme.px(6.0F), y), ImVec2(plot.right, y), paint);
    const std::string words = fmt::format("{}", gain_db);
    const float right = plot.right - theme.px(10.0F);
    const float half = 0.5F * theme.small->FontSize;
    // The level's line may pass behind it.
    canvas().AddRectFilled(ImVec2(right - text_width(theme.small, words), y - half),
                           ImVec2(right, y + half),
                           with_alpha(colour::kPlot, 0.8F));
    draw_text(theme.small, right, y - half, paint, words, Align::kRight);
  }
}

void draw_response(const Rect& plot,
                   const FrequencyAxis& axis,
                   const cuts::Setting& equaliser,
                   EqualiserIs state,
                   double sample_rate_hz,
                   const Theme& theme) {
  static std::vector<ImVec2> points;
  points.clear();
  for (float x = plot.left; x <= plot.right; x += kStepPx) {
    const std::complex<double> gain = cuts::response(equaliser, axis.hz_at(x), sample_rate_hz);
    const double level_db = base::amplitude_to_db(std::abs(gain));
    points.emplace_back(x, response_y(plot, level_db, theme));
  }
  const bool is_in = state != EqualiserIs::kOut;
  const ImU32 paint = is_in ? colour::kGreen : colour::kQuiet;
  canvas().AddPolyline(points.data(),
                       static_cast<int>(points.size()),
                       paint,
                       ImDrawFlags_None,
                       theme.px(is_in ? 2.5F : 1.5F));
  draw_text(theme.small,
            plot.right - theme.px(8.0F),
            plot.top + theme.px(3.0F),
            paint,
            !is_in                          ? "cuts out, 0 dB"
            : state == EqualiserIs::kLogged ? "cuts logged, 0 dB"
                                            : "cuts in, 0 dB",
            Align::kRight);
  draw_response_scale(plot, paint, theme);
}

}  // namespace

void to_columns(std::span<const float> frequencies_hz,
                std::span<const float> levels_dbfs,
                std::span<float> columns_dbfs) {
  const auto silence = static_cast<float>(base::kSilenceDb);
  std::fill(columns_dbfs.begin(), columns_dbfs.end(), silence);
  const auto count = static_cast<double>(columns_dbfs.size());
  // If bins are further apart than columns, two bins are joined by a straight line.
  double last_at = -1.0;
  float last_dbfs = silence;
  for (std::size_t i = 0; i < std::min(frequencies_hz.size(), levels_dbfs.size()); ++i) {
    const double at = FrequencyAxis::to_share(static_cast<double>(frequencies_hz[i])) * count;
    const float level_dbfs = levels_dbfs[i];
    if (last_at >= 0.0 && at > last_at) {
      const double first = std::floor(last_at) + 1.0;
      for (double column = first; column < std::floor(at) && column < count; column += 1.0) {
        const auto share = static_cast<float>((column - last_at) / (at - last_at));
        columns_dbfs[static_cast<std::size_t>(column)] =
            last_dbfs + share * (level_dbfs - last_dbfs);
      }
    }
    if (at >= 0.0 && at < count) {
      float& column = columns_dbfs[static_cast<std::size_t>(at)];
      column = std::max(column, level_dbfs);
    }
    last_at = at;
    last_dbfs = level_dbfs;
  }
}

ImU32 level_colour(float level_dbfs) noexcept {
  constexpr float kBrightDbfs = -30.0F;
  const float share = std::clamp((level_dbfs - kDarkDbfs) / (kBrightDbfs - kDarkDbfs), 0.0F, 1.0F);
  const float bright = share * (0.3F + 0.7F * share);
  const auto mix = [bright](int dark, int light) {
    return static_cast<int>(static_cast<float>(dark) + bright * static_cast<float>(light - dark));
  };
  return IM_COL32(mix(19, 226), mix(22, 238), mix(27, 250), 255);
}

void draw_spectrum(const Rect& plot,
                   const FrequencyAxis& axis,
                   std::span<const float> frequencies_hz,
                   std::span<const float> levels_dbfs,
                   const cuts::Setting& equaliser,
                   EqualiserIs state,
                   double sample_rate_hz,
                   const Theme& theme) {
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  draw_octave_lines(axis, plot);
  for (int level = -20; level >= -100; level -= 20) {
    const float y = y_of(plot, level);
    canvas().AddLine(ImVec2(plot.left, y), ImVec2(plot.right, y), colour::kGrid);
    draw_text(theme.small,
              plot.left - theme.px(8.0F),
              y - 0.5F * theme.small->FontSize,
              colour::kQuiet,
              fmt::format("{}", level),
              Align::kRight);
  }
  draw_text(theme.small,
            plot.left + theme.px(8.0F),
            plot.top + theme.px(5.0F),
            colour::kQuiet,
            "level, dBFS");
  const Clip clip(plot);
  static std::vector<float> columns;
  static std::vector<ImVec2> points;
  columns.resize(static_cast<std::size_t>(std::max(plot.width(), 0.0F)));
  to_columns(frequencies_hz, levels_dbfs, columns);
  points.clear();
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (static_cast<double>(columns[i]) > base::kSilenceDb) {
      points.emplace_back(plot.left + static_cast<float>(i),
                          y_of(plot, static_cast<double>(columns[i])));
    }
  }
  canvas().AddPolyline(points.data(),
                       static_cast<int>(points.size()),
                       colour::kText,
                       ImDrawFlags_None,
                       theme.px(1.0F));
  if (has_any(equaliser)) {
    draw_response(plot, axis, equaliser, state, sample_rate_hz, theme);
  }
}

}  // namespace brink::panel
