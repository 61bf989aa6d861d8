#include "panel/recording/recording_plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/plots/frequency_axis.h"
#include "panel/recording/ring_lines.h"

namespace brink::panel {
namespace {

constexpr float kScaleWidth = 48.0F;
constexpr float kNamesHeight = 22.0F;

/// Names at whole seconds, minutes or hours, as many as there is room for.
void draw_times(const PlotScale& scale, double sample_rate_hz, const Theme& theme) {
  static constexpr std::array<double, 18> kSteps{
      0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200};
  const Rect& plot = scale.plot;
  const double from_s = scale.from / sample_rate_hz;
  const double to_s = scale.to / sample_rate_hz;
  const auto room = static_cast<double>(plot.width() / theme.px(90.0F));
  const auto* const found = std::find_if(kSteps.begin(), kSteps.end(), [&](double step_s) {
    return (to_s - from_s) / step_s <= room;
  });
  const double step_s = found == kSteps.end() ? kSteps.back() : *found;
  const float y = plot.bottom + theme.px(5.0F);
  for (auto i = static_cast<int>(std::ceil(from_s / step_s)); i * step_s <= to_s; ++i) {
    const float x = scale.x_of(i * step_s * sample_rate_hz);
    canvas().AddLine(
        ImVec2(x, plot.bottom), ImVec2(x, plot.bottom + theme.px(4.0F)), colour::kQuiet);
    const std::string words = place_words(i * step_s);
    if (x + text_width(theme.small, words) < plot.right) {
      draw_text(theme.small,
                x,
                y,
                colour::kQuiet,
                step_s < 1.0 ? words : words.substr(0, words.size() - 2));
    }
  }
}

/// A number beside each strip, as many as there is room for, and a line between them.
void draw_strip_numbers(const PlotScale& scale, const Theme& theme) {
  const float height = scale.strip(1).height();
  const int step = std::max(1, static_cast<int>(std::ceil(theme.small->FontSize / height)));
  for (int channel = 1; channel <= scale.channels; ++channel) {
    const Rect strip = scale.strip(channel);
    if (channel > 1) {
      canvas().AddLine(
          ImVec2(strip.left, strip.top), ImVec2(strip.right, strip.top), colour::kGround);
    }
    if ((channel - 1) % step == 0) {
      draw_text(theme.small,
                strip.left - theme.px(8.0F),
                strip.middle_y() - 0.5F * theme.small->FontSize,
                colour::kQuiet,
                fmt::format("{}", channel),
                Align::kRight);
    }
  }
}

bool is_shown(const PlotScale& scale, const listen::FoundRing& found) {
  return scale.channel == 0 || scale.channel == found.channel;
}

}  // namespace

Rect recording_plot_area(Rect area, const Theme& theme) {
  area.take_left(theme.px(kScaleWidth));
  area.take_bottom(theme.px(kNamesHeight));
  return area;
}

void draw_recording_plot(const PlotScale& scale,
                         const RecordingPicture& picture,
                         const listen::Analysis& analysis,
                         const RecordingRings& rings,
                         int selected,
                         const Theme& theme) {
  const Rect& plot = scale.plot;
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  picture.draw(scale);
  if (scale.strips() == 1) {
    draw_octaves_up(plot, theme);
  } else {
    draw_strip_numbers(scale, theme);
  }
  if (analysis.samples <= 0) {
    return;
  }
  draw_times(scale, analysis.sample_rate_hz, theme);
  // A mark at the file's end is seen whole.
  const bool has_end = scale.to >= static_cast<double>(analysis.samples);
  const Clip clip(
      Rect{plot.left, plot.top, plot.right + (has_end ? theme.px(8.0F) : 0.0F), plot.bottom});
  const auto lines_of = [&](const listen::FoundPlace& place, std::vector<RingLine>& lines) {
    for (const std::size_t i : place.rings) {
      if (is_shown(scale, rings.rings()[i])) {
        lines.push_back(line_of(scale, analysis, rings.rings()[i]));
      }
    }
  };
  std::vector<RingLine> folded;
  std::vector<RingLine> plain;
  for (const listen::PlaceRow& row : rings.rows()) {
    lines_of(row.place, plain);
    for (const listen::FoldedPlace& under : row.folded) {
      lines_of(under.place, folded);
    }
  }
  draw_rings(plot, folded, RingLook::kFolded, theme);
  draw_rings(plot, plain, RingLook::kPlain, theme);
  if (selected >= 0 && selected < static_cast<int>(rings.rows().size())) {
    std::vector<RingLine> lit;
    lines_of(rings.rows()[static_cast<std::size_t>(selected)].place, lit);
    draw_rings(plot, lit, RingLook::kSelected, theme);
  }
}

void draw_sounding_place(const PlotScale& scale,
                         std::optional<std::int64_t> sample,
                         const Theme& theme) {
  if (!sample) {
    return;
  }
  const Rect& plot = scale.plot;
  const Clip clip(plot);
  const float x = scale.x_of(static_cast<double>(*sample));
  const float half = theme.px(6.0F);
  canvas().AddLine(ImVec2(x, plot.top), ImVec2(x, plot.bottom), colour::kText, theme.px(2.0F));
  canvas().AddTriangleFilled(ImVec2(x - half, plot.top),
                             ImVec2(x + half, plot.top),
                             ImVec2(x, plot.top + 1.5F * half),
                             colour::kText);
}

void draw_cursor(const PlotScale& scale, const RecordingCursor& cursor, const Theme& theme) {
  const Clip clip(scale.plot);
  const Rect strip = scale.strip(cursor.channel);
  const float x = scale.x_of(cursor.sample);
  const float y = scale.y_of(cursor.frequency_hz, cursor.channel);
  const ImU32 colour = with_alpha(colour::kText, 0.55F);
  canvas().AddLine(ImVec2(x, scale.plot.top), ImVec2(x, scale.plot.bottom), colour, theme.px(1.0F));
  canvas().AddLine(ImVec2(strip.left, y), ImVec2(strip.right, y), colour, theme.px(1.0F));
}

std::optional<RingKey> ring_at(const PlotScale& scale,
                               const listen::Analysis& analysis,
                               const RecordingRings& rings,
                               float x,
                               float y,
                               const Theme& theme) {
  std::optional<RingKey> nearest;
  float least = theme.px(12.0F);  // about what a hand hits
  for (const listen::FoundRing& found : rings.rings()) {
    if (!is_shown(scale, found)) {
      continue;
    }
    const RingLine line = line_of(scale, analysis, found);
    const float beside = std::max({line.onset - x, x - line.ended, 0.0F});
    const float away = std::hypot(beside, line.y - y);
    if (away < least) {
      least = away;
      nearest = RingKey{found.channel, found.ring.id};
    }
  }
  return nearest;
}

}  // namespace brink::panel
