#pragma once

#include <algorithm>
#include <cmath>

#include "panel/draw/rect.h"

namespace brink::panel {

/// Log frequency over a part of the window. Map, spectrum and strip share one axis.
struct FrequencyAxis {
  static constexpr double kLowestHz = 40.0;
  static constexpr double kHighestHz = 20000.0;

  float left = 0.0F;
  float right = 1.0F;

  /// 0 at the lowest frequency, 1 at the highest.
  [[nodiscard]] static double to_share(double frequency_hz) noexcept {
    return std::log(std::max(frequency_hz, 1.0) / kLowestHz) / std::log(kHighestHz / kLowestHz);
  }

  [[nodiscard]] static double to_hz(double share) noexcept {
    return kLowestHz * std::pow(kHighestHz / kLowestHz, share);
  }

  [[nodiscard]] float x_of(double frequency_hz) const noexcept {
    return left + (right - left) * static_cast<float>(to_share(frequency_hz));
  }

  [[nodiscard]] double hz_at(float x) const noexcept {
    return to_hz(static_cast<double>((x - left) / (right - left)));
  }
};

/// Draws lines at the octaves from 63 Hz to 16 kHz through a plot, and their names below it.
struct Theme;
void draw_octave_lines(const FrequencyAxis& axis, const Rect& plot);
void draw_octave_names(const FrequencyAxis& axis, float y, const Theme& theme);

/// The same range upwards along the side of a plot: the height of a frequency, and the octaves'
/// names at the left edge.
[[nodiscard]] float frequency_y(const Rect& plot, double frequency_hz) noexcept;
void draw_octaves_up(const Rect& plot, const Theme& theme);

}  // namespace brink::panel
