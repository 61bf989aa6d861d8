#include "panel/ear/ear_progress_plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/printable.h"
#include "ear/band_choice.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr float kScaleWidth = 96.0F;
constexpr float kSideWidth = 392.0F;
constexpr float kLineHeight = 24.0F;
constexpr float kWeekHeight = 26.0F;
constexpr float kNamesHeight = 22.0F;
constexpr float kGap = 12.0F;

// Errors from about the step of hearing to two octaves, by their logarithm.
constexpr double kSmallestCents = 10.0;
constexpr double kLargestCents = 2400.0;

struct ErrorLine {
  double cents;
  const char* name;
};

constexpr std::array<ErrorLine, 4> kErrorLines{
    {{10.0, "hearing"}, {100.0, "semitone"}, {400.0, "third-octave"}, {1200.0, "octave"}}};

double error_share(double cents) {
  return std::clamp(
      std::log(cents / kSmallestCents) / std::log(kLargestCents / kSmallestCents), 0.0, 1.0);
}

bool is_near(const ear::GuessSummary& summary) {
  return summary.median_error_cents <= 400.0;
}

/// A band's place on the axis, which goes no farther than what is trained.
struct BandAxis {
  float left = 0.0F;
  float width = 0.0F;

  [[nodiscard]] float x_of(int band) const {
    const int inside = std::clamp(band, ear::kFirstEarBand - 1, ear::kLastEarBand + 1);
    return left + width * (static_cast<float>(inside - ear::kFirstEarBand) + 1.5F) /
                      (ear::kEarBandCount + 2);
  }

  [[nodiscard]] float step() const { return width / (ear::kEarBandCount + 2); }
};

void draw_heading(Rect& area, const Theme& theme, const char* heading) {
  const Rect row = area.take_top(theme.px(kLineHeight));
  draw_text(theme.strong, row.left, row.top, colour::kText, heading);
}

/// The size of the error in every band: near ones a full circle, farther ones a triangle.
void draw_bands(const Rect& plot,
                const BandAxis& axis,
                const ear::EarProgress& progress,
                const Theme& theme) {
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  const auto y_of = [&](double cents) {
    return plot.bottom - plot.height() * static_cast<float>(error_share(cents));
  };
  for (const ErrorLine& line : kErrorLines) {
    const float y = y_of(line.cents);
    canvas().AddLine(ImVec2(plot.left, y), ImVec2(plot.right, y), colour::kGrid);
    draw_text(theme.small,
              plot.left - theme.px(8.0F),
              std::min(y - 0.5F * theme.small->FontSize, plot.bottom - theme.small->FontSize),
              colour::kQuiet,
              line.name,
              Align::kRight);
  }
  for (const ear::BandSummary& band : progress.bands) {
    const float x = axis.x_of(band.band);
    const float y = y_of(band.summary.median_error_cents);
    const ImU32 paint = is_near(band.summary) ? colour::kSky : colour::kOrange;
    canvas().AddLine(ImVec2(x, plot.bottom), ImVec2(x, y), paint, theme.px(3.0F));
    const float radius = theme.px(7.0F);
    if (is_near(band.summary)) {
      canvas().AddCircleFilled(ImVec2(x, y), radius, paint);
    } else {
      canvas().AddTriangleFilled(ImVec2(x - radius, y + radius),
                                 ImVec2(x + radius, y + radius),
                                 ImVec2(x, y - radius),
                                 paint);
    }
  }
}

void draw_band_names(const Rect& names, const BandAxis& axis, const Theme& theme) {
  // Every third band, an octave apart.
  for (int band = ear::kFirstEarBand; band <= ear::kLastEarBand; band += 3) {
    draw_text(theme.small,
              axis.x_of(band),
              names.top + theme.px(4.0F),
              colour::kQuiet,
              band_name(band),
              Align::kMiddle);
  }
}

/// A line for each week, newest first, a field for each band: its median error in cents, brighter
/// where it is larger.
void draw_weeks(const Rect& area,
                const BandAxis& axis,
                const ear::EarProgress& progress,
                const Theme& theme) {
  Rect rest = area;
  for (auto week = progress.weeks.rbegin();
       week != progress.weeks.rend() && rest.height() >= theme.px(kWeekHeight);
       ++week) {
    const Rect row = rest.take_top(theme.px(kWeekHeight));
    const float y = row.middle_y() - 0.5F * theme.small->FontSize;
    draw_text(theme.small,
              axis.left - theme.px(8.0F),
              y,
              colour::kQuiet,
              base::printable(week->week),
              Align::kRight);
    for (const ear::BandWeekSummary& cell : progress.cells) {
      if (cell.week != week->week) {
        continue;
      }
      const float x = axis.x_of(cell.band);
      const float half = 0.5F * axis.step() - theme.px(1.0F);
      const auto share = static_cast<float>(error_share(cell.summary.median_error_cents));
      const ImU32 paint = is_near(cell.summary) ? colour::kSky : colour::kOrange;
      canvas().AddRectFilled(ImVec2(x - half, row.top + theme.px(1.0F)),
                             ImVec2(x + half, row.bottom - theme.px(1.0F)),
                             with_alpha(paint, 0.10F + 0.30F * share),
                             theme.px(3.0F));
      const double error_cents = cell.summary.median_error_cents;
      const std::string cents = error_cents < 999.5 ? fmt::format("{:.0f}", error_cents)
                                                    : fmt::format("{:.1f}k", 1e-3 * error_cents);
      if (text_width(theme.small, cents) <= 2.0F * half) {
        draw_text(theme.small, x, y, colour::kText, cents, Align::kMiddle);
      }
    }
  }
}

void draw_octaves(Rect area, const ear::OctaveCounts& octaves, const Theme& theme) {
  struct Bar {
    const char* name;
    int count;
    ImU32 paint;
  };

  const std::array<Bar, 6> bars{{{"2 octaves too low", octaves.counts[0], colour::kOrange},
                                 {"an octave too low", octaves.counts[1], colour::kOrange},
                                 {"right", octaves.counts[2], colour::kSky},
                                 {"an octave too high", octaves.counts[3], colour::kOrange},
                                 {"2 octaves too high", octaves.counts[4], colour::kOrange},
                                 {"off by something else", octaves.none, colour::kTrack}}};
  int most = 1;
  for (const Bar& bar : bars) {
    most = std::max(most, bar.count);
  }
  const float bar_left = area.left + theme.px(150.0F);
  const float bar_width = area.right - theme.px(36.0F) - bar_left;
  for (const Bar& bar : bars) {
    const Rect row = area.take_top(theme.px(kLineHeight));
    const float share = static_cast<float>(bar.count) / static_cast<float>(most);
    draw_text(theme.small, row.left, row.top + theme.px(3.0F), colour::kQuiet, bar.name);
    if (bar.count > 0) {
      const float width = std::max(theme.px(2.0F), share * bar_width);
      canvas().AddRectFilled(ImVec2(bar_left, row.top + theme.px(4.0F)),
                             ImVec2(bar_left + width, row.bottom - theme.px(6.0F)),
                             bar.paint,
                             theme.px(2.0F));
    }
    draw_text(
        theme.body, row.right, row.top, colour::kText, fmt::format("{}", bar.count), Align::kRight);
  }
}

void draw_week_table(Rect area, const ear::EarProgress& progress, const Theme& theme) {
  const auto columns = [&](const Rect& row,
                           ImU32 paint,
                           const std::string& week,
                           const std::string& count,
                           const std::string& hits,
                           const std::string& error,
                           const std::string& time) {
    const float step = row.width() / 5.0F;
    draw_text(theme.small, row.left, row.top, paint, week);
    draw_text(theme.small, row.left + 1.9F * step, row.top, paint, count, Align::kRight);
    draw_text(theme.small, row.left + 2.9F * step, row.top, paint, hits, Align::kRight);
    draw_text(theme.small, row.left + 4.1F * step, row.top, paint, error, Align::kRight);
    draw_text(theme.small, row.right, row.top, paint, time, Align::kRight);
  };
  columns(area.take_top(theme.px(kLineHeight)),
          colour::kQuiet,
          "week",
          "guesses",
          "within 1/3",
          "median error",
          "time");
  for (auto week = progress.weeks.rbegin();
       week != progress.weeks.rend() && area.height() >= theme.px(kLineHeight);
       ++week) {
    const ear::GuessSummary& summary = week->summary;
    columns(area.take_top(theme.px(kLineHeight)),
            colour::kText,
            base::printable(week->week),
            fmt::format("{}", summary.count),
            fmt::format("{:.0f} %", 100.0 * summary.hit_share),
            fmt::format("{:.0f} cents", summary.median_error_cents),
            fmt::format("{:.1f} s", summary.median_took_s));
  }
}

void draw_pictures(Rect area, const ear::EarProgress& progress, const Theme& theme) {
  draw_card(area, theme);
  area = area.inset(theme.px(18.0F));
  draw_heading(area, theme, "Median error by third-octave");
  const auto week_rows = static_cast<float>(std::min<std::size_t>(progress.weeks.size(), 8));
  const float weeks_height =
      std::min(theme.px(kWeekHeight) * week_rows + theme.px(kLineHeight), 0.5F * area.height());
  Rect weeks = area.take_bottom(weeks_height);
  area.take_bottom(theme.px(kGap));
  const Rect names = area.take_bottom(theme.px(kNamesHeight));
  area.take_left(theme.px(kScaleWidth));
  const BandAxis axis{area.left, area.width()};
  draw_bands(area, axis, progress, theme);
  draw_band_names(names, axis, theme);
  draw_heading(weeks, theme, "The same week by week, in cents");
  draw_weeks(weeks, axis, progress, theme);
}

}  // namespace

std::vector<std::string> progress_words(const ear::EarProgress& progress) {
  const ear::GuessSummary& all = progress.all;
  if (all.count == 0) {
    return {"No guess was kept yet."};
  }
  std::vector<std::string> words;
  words.push_back(fmt::format("{} guess{}, {:.0f} % within a third-octave.",
                              all.count,
                              all.count == 1 ? "" : "es",
                              100.0 * all.hit_share));
  words.push_back(fmt::format("Half of them within {:.0f} cents, and in {:.1f} s or less.",
                              all.median_error_cents,
                              all.median_took_s));
  words.push_back(fmt::format("Off by {:.1f} semitones on average; practised listeners: about 3.",
                              all.mean_error_cents / 100.0));
  if (progress.octave_bits) {
    words.push_back(
        fmt::format("The answers tell at least {:.1f} bits; the published limit is 2.3.",
                    *progress.octave_bits));
  }
  const auto farther = [](const ear::BandSummary& a, const ear::BandSummary& b) {
    return a.summary.median_error_cents < b.summary.median_error_cents;
  };
  if (progress.bands.size() > 1) {
    const auto [best, worst] =
        std::minmax_element(progress.bands.begin(), progress.bands.end(), farther);
    words.push_back(fmt::format(
        "Surest in the {} band, farthest off in the {} band. Weak bands come up more often.",
        band_name(best->band),
        band_name(worst->band)));
  }
  const int slips = progress.octaves.counts[0] + progress.octaves.counts[1] +
                    progress.octaves.counts[3] + progress.octaves.counts[4];
  words.push_back(slips == 0 ? std::string("No octave slip.")
                             : fmt::format("{} octave slip{}.", slips, slips == 1 ? "" : "s"));
  return words;
}

void draw_ear_progress(const Rect& area,
                       const ear::EarProgress& progress,
                       const std::string& fault,
                       const Theme& theme) {
  Rect rest = area;
  const Rect side_area = rest.take_right(std::min(theme.px(kSideWidth), 0.42F * area.width()));
  rest.take_right(theme.px(kGap));
  draw_pictures(rest, progress, theme);
  draw_card(side_area, theme);
  const Clip clip(side_area);
  Rect side = side_area.inset(theme.px(18.0F));
  const Rect head = side.take_top(theme.px(34.0F));
  draw_text(
      theme.title,
      head.left,
      head.top,
      colour::kText,
      progress.trainee.empty() ? std::string("Nobody yet") : base::printable(progress.trainee));
  if (!fault.empty()) {
    side.take_top(
        draw_wrapped(theme.body, side.left, side.top, side.width(), colour::kOrange, fault));
  }
  for (const std::string& line : progress_words(progress)) {
    side.take_top(draw_wrapped(theme.body, side.left, side.top, side.width(), colour::kText, line) +
                  theme.px(4.0F));
  }
  side.take_top(theme.px(kGap));
  draw_heading(side, theme, "Octaves");
  draw_octaves(side.take_top(6.0F * theme.px(kLineHeight)), progress.octaves, theme);
  side.take_top(theme.px(kGap));
  draw_heading(side, theme, "By week");
  draw_week_table(side, progress, theme);
}

}  // namespace brink::panel
