#pragma once

#include <cstdint>
#include <span>

#include "cuts/setting.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"

namespace brink::panel {

/// The highest level in each column of pixels. A column without a frequency gets its level from its
/// neighbours, or kSilenceDb.
void to_columns(std::span<const float> frequencies_hz,
                std::span<const float> levels_dbfs,
                std::span<float> columns_dbfs);

/// In a picture of levels over time, levels up to this are the background.
inline constexpr float kDarkDbfs = -100.0F;

/// From dark to light, with a little blue. The lightness rises evenly, so that loud looks bright.
[[nodiscard]] ImU32 level_colour(float level_dbfs) noexcept;

/// What brink knows about an equaliser's cuts. With a device it knows only what was logged, not
/// what was set.
enum class EqualiserIs : std::uint8_t { kIn, kOut, kLogged };

/// Draws the live spectrum, one point for each column. If there are cuts, it also draws the
/// equaliser's response, on a scale of its own at the right: 0 dB near the upper edge, -30 dB at
/// the lower edge.
void draw_spectrum(const Rect& plot,
                   const FrequencyAxis& axis,
                   std::span<const float> frequencies_hz,
                   std::span<const float> levels_dbfs,
                   const cuts::Setting& equaliser,
                   EqualiserIs state,
                   double sample_rate_hz,
                   const Theme& theme);

}  // namespace brink::panel
