#pragma once

#include <span>

#include "cuts/setting.h"
#include "panel/frequency_axis.h"
#include "panel/rect.h"
#include "panel/theme.h"

namespace brink::panel {

/// The highest level in each column of pixels; kSilenceDb where no frequency falls and no
/// neighbour helps.
void to_columns(std::span<const float> frequencies_hz,
                std::span<const float> levels_dbfs,
                std::span<float> columns_dbfs);

/// The live spectrum, one point a column, and, when there are cuts, the equaliser's response over
/// it on a scale of its own: its upper edge is 0 dB, its lower -30 dB.
void draw_spectrum(const Rect& plot,
                   const FrequencyAxis& axis,
                   std::span<const float> frequencies_hz,
                   std::span<const float> levels_dbfs,
                   const cuts::Setting& equaliser,
                   bool is_equaliser_in,
                   double sample_rate_hz,
                   const Theme& theme);

}  // namespace brink::panel
