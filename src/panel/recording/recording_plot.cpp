#include "panel/recording/recording_plot.h"

#include <algorithm>
#include <array>
#include <vector>

#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/plots/frequency_axis.h"
#include "panel/plots/spectrum_plot.h"

namespace brink::panel {
namespace {

constexpr float kScaleWidth = 48.0F;
constexpr float kNamesHeight = 22.0F;

/// Names at whole seconds, minutes or hours, as many as there is room for.
void draw_times(const Rect& plot, double duration_s, const Theme& theme) {
  static constexpr std::array<double, 15> kSteps{
      0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200};
  const auto room = static_cast<double>(plot.width() / theme.px(90.0F));
  const auto* const found = std::find_if(
      kSteps.begin(), kSteps.end(), [&](double step_s) { return duration_s / step_s <= room; });
  const double step_s = found == kSteps.end() ? kSteps.back() : *found;
  const float y = plot.bottom + theme.px(5.0F);
  for (int i = 0; i * step_s <= duration_s; ++i) {
    const float x = plot.left + plot.width() * static_cast<float>(i * step_s / duration_s);
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

Rect plot_area(Rect area, const Theme& theme) {
  area.take_left(theme.px(kScaleWidth));
  area.take_bottom(theme.px(kNamesHeight));
  return area;
}

float sample_x(const Rect& plot, const listen::Analysis& analysis, std::int64_t sample) {
  const double share = static_cast<double>(sample) / static_cast<double>(analysis.samples);
  return plot.left + plot.width() * static_cast<float>(std::clamp(share, 0.0, 1.0));
}

struct Ends {
  float onset;
  float flagged;
  float ended;
  bool is_over;  // else it still sounded when the recording ended
};

void draw_ring(const Ends& x, float y, bool is_selected, const Theme& theme) {
  const float width = theme.px(is_selected ? 4.0F : 2.0F);
  canvas().AddLine(ImVec2(x.onset, y), ImVec2(x.flagged, y), colour::kOrange, width);
  canvas().AddLine(ImVec2(x.flagged, y),
                   ImVec2(std::max(x.ended, x.flagged + theme.px(3.0F)), y),
                   colour::kVermilion,
                   width);
  const float size = theme.px(is_selected ? 7.0F : 5.0F);
  draw_state_mark(x.onset, y, 0.8F * size, detector::RingState::kBuilding);
  draw_state_mark(x.flagged, y, size, detector::RingState::kRinging);
  if (x.is_over) {
    draw_state_mark(x.ended, y, 0.8F * size, detector::RingState::kGone);
  }
}

}  // namespace

void RecordingPlot::show(std::span<const Spectrogram> channels, std::int64_t samples) {
  filled_ = 0.0F;
  if (!texture_ || channels.empty() || channels.front().column_count() == 0) {
    return;
  }
  const Spectrogram& first = channels.front();
  filled_ = static_cast<float>(static_cast<double>(samples) /
                               static_cast<double>(first.column_samples()) / Spectrogram::kColumns);
  filled_ = std::min(filled_, 1.0F);
  std::vector<ImU32> pixels(Spectrogram::kColumns, colour::kPlot);
  for (int row = 0; row < Spectrogram::kRows; ++row) {
    for (int column = 0; column < first.column_count(); ++column) {
      float loudest_dbfs = kDarkDbfs;
      for (const Spectrogram& channel : channels) {
        loudest_dbfs = std::max(loudest_dbfs, channel.level_dbfs(column, row));
      }
      pixels[static_cast<std::size_t>(column)] = level_colour(loudest_dbfs);
    }
    texture_->write_row(Spectrogram::kRows - 1 - row, pixels);
  }
}

void RecordingPlot::draw(const Rect& area,
                         const listen::Analysis& analysis,
                         const RecordingRings& rings,
                         int selected,
                         const Theme& theme) const {
  const Rect plot = plot_area(area, theme);
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  if (texture_ && filled_ > 0.0F) {
    // Half a pixel in, since the texture wraps around.
    constexpr float kHalfRow = 0.5F / Spectrogram::kRows;
    canvas().AddImage(texture_->id(),
                      ImVec2(plot.left, plot.top),
                      ImVec2(plot.right, plot.bottom),
                      ImVec2(0.0F, kHalfRow),
                      ImVec2(filled_, 1.0F - kHalfRow));
  }
  draw_octaves_up(plot, theme);
  if (analysis.samples <= 0) {
    return;
  }
  draw_times(plot, analysis.duration_s(), theme);
  const auto x_of = [&](std::int64_t sample) { return sample_x(plot, analysis, sample); };
  const auto draw_one = [&](const detector::Ring& ring, bool is_selected) {
    const bool is_over = ring.ended_sample != detector::kNever;
    const Ends ends{x_of(ring.onset_sample),
                    x_of(ring.flagged_sample),
                    x_of(is_over ? ring.ended_sample : analysis.samples),
                    is_over};
    draw_ring(ends, frequency_y(plot, ring.frequency_hz), is_selected, theme);
  };
  const Clip clip(Rect{plot.left, plot.top, plot.right + theme.px(8.0F), plot.bottom});
  for (const listen::FoundRing& found : rings.rings()) {
    draw_one(found.ring, false);
  }
  if (selected >= 0 && selected < static_cast<int>(rings.places().size())) {
    for (const std::size_t i : rings.places()[static_cast<std::size_t>(selected)].rings) {
      const detector::Ring& ring = rings.rings()[i].ring;
      const float x = x_of(ring.onset_sample);
      canvas().AddLine(ImVec2(x, plot.top), ImVec2(x, plot.bottom), colour::kYellow);
      draw_one(ring, true);
    }
  }
}

void RecordingPlot::draw_place(const Rect& area,
                               const listen::Analysis& analysis,
                               std::optional<std::int64_t> sample,
                               const Theme& theme) {
  if (!sample || analysis.samples <= 0) {
    return;
  }
  const Rect plot = plot_area(area, theme);
  const float x = sample_x(plot, analysis, *sample);
  const float half = theme.px(6.0F);
  canvas().AddLine(ImVec2(x, plot.top), ImVec2(x, plot.bottom), colour::kText, theme.px(2.0F));
  canvas().AddTriangleFilled(ImVec2(x - half, plot.top),
                             ImVec2(x + half, plot.top),
                             ImVec2(x, plot.top + 1.5F * half),
                             colour::kText);
}

}  // namespace brink::panel
