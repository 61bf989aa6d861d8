#pragma once

#include <string>

#include "listen/forecast.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"

namespace brink::panel {

/// The forecast on the brink map, below the line: an open diamond for each place, at the decay of a
/// tone there, with a bar for its uncertainty; and the first of them in words. It never has the
/// mark or the colour of a ring.
void draw_forecast(const Rect& map,
                   const FrequencyAxis& axis,
                   const listen::Forecast& forecast,
                   const Theme& theme);

/// "next: 2.56 kHz, 2.0 dB left (+-0.4)". Empty when there is no forecast.
[[nodiscard]] std::string forecast_words(const listen::Forecast& forecast);

}  // namespace brink::panel
