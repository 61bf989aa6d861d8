#include "panel/plots/forecast_marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/plots/brink_map.h"

namespace brink::panel {
namespace {

constexpr float kRadius = 6.0F;

}  // namespace

std::string forecast_words(const listen::Forecast& forecast) {
  if (forecast.serial == 0) {
    return {};
  }
  if (forecast.state == listen::ForecastState::kTonal ||
      forecast.state == listen::ForecastState::kUnclear) {
    return "next: this programme does not tell";
  }
  if (forecast.places.empty()) {
    return "next: not enough heard to tell";
  }
  const listen::ForeseenPlace& first = forecast.places.front();
  return fmt::format("next: {}, {:.1f} dB left (+-{:.1f})",
                     base::frequency_label(first.frequency_hz),
                     first.left_db,
                     first.left_sd_db);
}

void draw_forecast(const Rect& map,
                   const FrequencyAxis& axis,
                   const listen::Forecast& forecast,
                   const Theme& theme) {
  const auto y_of = [&](double decay_db_per_s) {
    return map.bottom - map.height() * growth_share(-decay_db_per_s);
  };
  const float radius = theme.px(kRadius);
  for (const listen::ForeseenPlace& place : forecast.places) {
    const float x = axis.x_of(place.frequency_hz);
    const float y = y_of(place.decay_db_per_s);
    // Decibels left and decay stand in one ratio, the loop's delay at this place.
    const double part = place.left_db > 0.0 ? place.left_sd_db / place.left_db : 0.0;
    canvas().AddLine(ImVec2(x, y_of(place.decay_db_per_s * std::max(0.0, 1.0 - part))),
                     ImVec2(x, y_of(place.decay_db_per_s * (1.0 + part))),
                     with_alpha(colour::kText, 0.5F),
                     theme.px(1.5F));
    const std::array<ImVec2, 4> corners{
        ImVec2(x, y - radius), ImVec2(x + radius, y), ImVec2(x, y + radius), ImVec2(x - radius, y)};
    canvas().AddPolyline(corners.data(),
                         static_cast<int>(corners.size()),
                         colour::kText,
                         ImDrawFlags_Closed,
                         theme.px(1.5F));
  }
  draw_text(theme.strong,
            map.right - theme.px(8.0F),
            map.bottom - theme.strong->FontSize - theme.px(5.0F),
            colour::kText,
            forecast_words(forecast),
            Align::kRight);
}

}  // namespace brink::panel
