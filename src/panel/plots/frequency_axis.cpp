#include "panel/plots/frequency_axis.h"

#include <array>

#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

struct Octave {
  double centre_hz;
  const char* name;
};

// Nominal octave centres (IEC 61260-1).
constexpr std::array<Octave, 9> kOctaves{{{63.0, "63"},
                                          {125.0, "125"},
                                          {250.0, "250"},
                                          {500.0, "500"},
                                          {1000.0, "1k"},
                                          {2000.0, "2k"},
                                          {4000.0, "4k"},
                                          {8000.0, "8k"},
                                          {16000.0, "16k"}}};

}  // namespace

void draw_octave_lines(const FrequencyAxis& axis, const Rect& plot) {
  for (const Octave& octave : kOctaves) {
    const float x = axis.x_of(octave.centre_hz);
    canvas().AddLine(ImVec2(x, plot.top), ImVec2(x, plot.bottom), colour::kGrid);
  }
}

void draw_octave_names(const FrequencyAxis& axis, float y, const Theme& theme) {
  for (const Octave& octave : kOctaves) {
    draw_text(
        theme.small, axis.x_of(octave.centre_hz), y, colour::kQuiet, octave.name, Align::kMiddle);
  }
}

float frequency_y(const Rect& plot, double frequency_hz) noexcept {
  return plot.bottom - plot.height() * static_cast<float>(FrequencyAxis::to_share(frequency_hz));
}

void draw_octaves_up(const Rect& plot, const Theme& theme) {
  for (const Octave& octave : kOctaves) {
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
