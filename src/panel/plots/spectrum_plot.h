#pragma once

#include <cstdint>
#include <span>

#include "cuts/setting.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"

namespace brink::panel {

/// The highest level in each column of pixels; kSilenceDb where no frequency falls and no
/// neighbour helps.
void to_columns(std::span<const float> frequencies_hz,
                std::span<const float> levels_dbfs,
                std::span<float> columns_dbfs);

/// Levels from here down are the ground of a picture of levels over time.
inline constexpr float kDarkDbfs = -100.0F;

/// Dark to light with a breath of blue: rises evenly in lightness, so that loud reads as bright.
[[nodiscard]] ImU32 level_colour(float level_dbfs) noexcept;

/// What is known of an equaliser's cuts: on a device brink knows what was logged, not what was set.
enum class EqualiserIs : std::uint8_t { kIn, kOut, kLogged };

/// The live spectrum, one point a column, and, when there are cuts, the equaliser's response over
/// it on a scale of its own: its upper edge is 0 dB, its lower -30 dB.
void draw_spectrum(const Rect& plot,
                   const FrequencyAxis& axis,
                   std::span<const float> frequencies_hz,
                   std::span<const float> levels_dbfs,
                   const cuts::Setting& equaliser,
                   EqualiserIs state,
                   double sample_rate_hz,
                   const Theme& theme);

}  // namespace brink::panel
