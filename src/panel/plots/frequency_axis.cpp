#include "panel/plots/frequency_axis.h"

#include "base/octaves.h"
#include "panel/draw/draw.h"

namespace brink::panel {

void draw_octave_lines(const FrequencyAxis& axis, const Rect& plot) {
  for (const base::Octave& octave : base::kOctaves) {
    const float x = axis.x_of(octave.centre_hz);
    canvas().AddLine(ImVec2(x, plot.top), ImVec2(x, plot.bottom), colour::kGrid);
  }
}

void draw_octave_names(const FrequencyAxis& axis, float y, const Theme& theme) {
  for (const base::Octave& octave : base::kOctaves) {
    draw_text(
        theme.small, axis.x_of(octave.centre_hz), y, colour::kQuiet, octave.name, Align::kMiddle);
  }
}

float frequency_y(const Rect& plot, double frequency_hz) noexcept {
  return plot.bottom - plot.height() * static_cast<float>(FrequencyAxis::to_share(frequency_hz));
}

void draw_octaves_up(const Rect& plot, const Theme& theme) {
  for (const base::Octave& octave : base::kOctaves) {
    const float y = frequency_y(plot, octave.centre_hz);
    canvas().AddLine(ImVec2(plot.left, y), ImVec2(plot.right, y), with_alpha(colour::kText, 0.12F));
    draw_text(theme.small,
              plot.left - theme.px(8.0F),
              y - 0.5F * theme.small->FontSize,
              colour::kQuiet,
              octave.name,
              Align::kRight);
  }
}

}  // namespace brink::panel
