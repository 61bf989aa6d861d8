#include "panel/sweep/sweep_plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "panel/draw/draw.h"
#include "panel/plots/frequency_axis.h"

namespace brink::panel {
namespace {

constexpr float kScaleWidth = 44.0F;
constexpr float kGap = 6.0F;
constexpr float kHeadingHeight = 20.0F;
constexpr std::size_t kMarkedRings = 5;

/// One of the plots: its place, and what its height stands for.
struct Plot {
  Rect area;
  FrequencyAxis axis;
  double low = 0.0;
  double high = 1.0;

  [[nodiscard]] float y_of(double value) const noexcept {
    const double share = (std::clamp(value, low, high) - low) / (high - low);
    return area.bottom - area.height() * static_cast<float>(share);
  }
};

Plot draw_axes(const Rect& area,
               double low,
               double high,
               double step,
               const std::string& heading,
               const Theme& theme) {
  Plot plot{area, {}, low, high};
  plot.area.left += theme.px(kScaleWidth);
  plot.axis = {plot.area.left, plot.area.right};
  canvas().AddRectFilled(ImVec2(plot.area.left, plot.area.top),
                         ImVec2(plot.area.right, plot.area.bottom),
                         colour::kPlot);
  draw_octave_lines(plot.axis, plot.area);
  draw_text(theme.small,
            plot.area.left + theme.px(8.0F),
            plot.area.top + theme.px(3.0F),
            colour::kText,
            heading);
  plot.area.top += theme.px(kHeadingHeight);
  for (double value = std::ceil(low / step) * step; value <= high; value += step) {
    const float y = plot.y_of(value);
    canvas().AddLine(ImVec2(plot.area.left, y), ImVec2(plot.area.right, y), colour::kGrid);
    draw_text(
        theme.small,
        plot.area.left - theme.px(6.0F),
        std::clamp(y - 0.5F * theme.small->FontSize, area.top, area.bottom - theme.small->FontSize),
        colour::kQuiet,
        fmt::format("{:.0f}", value + 0.0),
        Align::kRight);
  }
  return plot;
}

void draw_point(
    const Plot& plot, double frequency_hz, double value, double deviation, const Theme& theme) {
  const float x = plot.axis.x_of(frequency_hz);
  const float high = plot.y_of(value + deviation);
  const float low = plot.y_of(value - deviation);
  const float half = theme.px(4.0F);
  canvas().AddLine(ImVec2(x, high), ImVec2(x, low), colour::kSky, theme.px(1.5F));
  canvas().AddLine(ImVec2(x - half, high), ImVec2(x + half, high), colour::kSky, theme.px(1.5F));
  canvas().AddLine(ImVec2(x - half, low), ImVec2(x + half, low), colour::kSky, theme.px(1.5F));
  canvas().AddCircleFilled(ImVec2(x, plot.y_of(value)), theme.px(3.5F), colour::kSky);
}

/// Each by its place in the order, so that the list beside it is found again.
void draw_rings(const Plot& plot, const report::SweepReport& report, const Theme& theme) {
  const auto& rings = report.forecast.rings;
  const float size = theme.small->FontSize;
  for (std::size_t k = 0; k < std::min(rings.size(), kMarkedRings); ++k) {
    const float x = plot.axis.x_of(rings[k].frequency_hz);
    const float top = plot.area.top + static_cast<float>(k) * size;
    canvas().AddLine(ImVec2(x, top),
                     ImVec2(x, plot.area.bottom),
                     with_alpha(colour::kVermilion, k == 0 ? 1.0F : 0.6F),
                     theme.px(k == 0 ? 2.0F : 1.0F));
    draw_text(theme.small, x + theme.px(4.0F), top, colour::kVermilion, fmt::format("{}", k + 1));
  }
}

void draw_noise(const Plot& plot, const report::SweepReport& report, const Theme& theme) {
  const auto& bands = report.loop.bands;
  for (std::size_t k = 1; k < bands.size(); ++k) {
    canvas().AddLine(ImVec2(plot.axis.x_of(bands[k - 1].centre_hz),
                            plot.y_of(bands[k - 1].noise_db - report.level_dbfs)),
                     ImVec2(plot.axis.x_of(bands[k].centre_hz),
                            plot.y_of(bands[k].noise_db - report.level_dbfs)),
                     colour::kTrack,
                     theme.px(1.5F));
  }
}

void draw_level(const Rect& area,
                const report::SweepReport* report,
                bool hides_answers,
                const Theme& theme) {
  double high = 0.0;
  double low = -80.0;
  if (report != nullptr && !report->loop.bands.empty()) {
    const auto& bands = report->loop.bands;
    const auto by_level = [](const auto& a, const auto& b) { return a.level_db < b.level_db; };
    const double highest = std::max_element(bands.begin(), bands.end(), by_level)->level_db;
    high = std::ceil((highest - report->level_dbfs) / 10.0) * 10.0 + 10.0;
    low = high - 90.0;
  }
  const Plot plot =
      draw_axes(area,
                low,
                high,
                20.0,
                "Level of the way from the output to the microphone, dB; grey line: noise",
                theme);
  if (report == nullptr) {
    return;
  }
  const Clip clip(plot.area);
  if (!hides_answers) {
    draw_rings(plot, *report, theme);
  }
  draw_noise(plot, *report, theme);
  for (const loop::MeasuredBand& band : report->loop.bands) {
    draw_point(plot, band.centre_hz, band.level_db - report->level_dbfs, band.level_sd_db, theme);
  }
}

void draw_phase(const Rect& area, const desk::SweepWork& work, const Theme& theme) {
  const Plot plot = draw_axes(area,
                              -180.0,
                              180.0,
                              area.height() < theme.px(150.0F) ? 180.0 : 90.0,
                              "Phase after the first sound, degrees",
                              theme);
  if (!work.report()) {
    return;
  }
  const auto& bands = work.report()->loop.bands;
  for (std::size_t k = 0; k < std::min(bands.size(), work.phases_deg().size()); ++k) {
    draw_point(plot, bands[k].centre_hz, work.phases_deg()[k], bands[k].phase_sd_deg, theme);
  }
}

void draw_delay(const Rect& area, const report::SweepReport* report, const Theme& theme) {
  double highest_ms = 40.0;
  double start_s = 0.0;
  if (report != nullptr) {
    start_s = report->loop.starts_s.value_or(-report->loop.direct_s);
    for (const loop::MeasuredBand& band : report->loop.bands) {
      highest_ms = std::max(highest_ms, 1000.0 * (band.delay_s + start_s));
    }
  }
  const double step_ms = highest_ms > 200.0 ? 100.0 : highest_ms > 80.0 ? 50.0 : 20.0;
  const Plot plot = draw_axes(area,
                              0.0,
                              std::ceil(highest_ms / step_ms) * step_ms,
                              step_ms,
                              report != nullptr && !report->loop.starts_s
                                  ? "Group delay after the first sound, ms"
                                  : "Group delay, ms",
                              theme);
  if (report == nullptr) {
    return;
  }
  for (const loop::MeasuredBand& band : report->loop.bands) {
    draw_point(
        plot, band.centre_hz, 1000.0 * (band.delay_s + start_s), 1000.0 * band.delay_sd_s, theme);
  }
}

}  // namespace

void draw_sweep_plots(const Rect& area,
                      const desk::SweepWork& work,
                      bool hides_answers,
                      const Theme& theme) {
  Rect rest = area;
  const Rect names = rest.take_bottom(theme.px(20.0F));
  const float gap = theme.px(kGap);
  const float height = rest.height() - 2.0F * gap;
  const report::SweepReport* const report = work.report() ? &*work.report() : nullptr;
  draw_level(rest.take_top(0.46F * height), report, hides_answers, theme);
  rest.take_top(gap);
  draw_phase(rest.take_top(0.26F * height), work, theme);
  rest.take_top(gap);
  draw_delay(rest, report, theme);
  draw_octave_names(
      {names.left + theme.px(kScaleWidth), names.right}, names.top + theme.px(3.0F), theme);
}

}  // namespace brink::panel
