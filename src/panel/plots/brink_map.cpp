#include "panel/plots/brink_map.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/label_places.h"
#include "panel/draw/words.h"
#include "panel/plots/forecast_marks.h"

namespace brink::panel {
namespace {

constexpr double kEvenDbPerS = 5.0;  // up to about here the scale is linear
constexpr double kMostDbPerS = 200.0;
constexpr float kMarkRadius = 7.0F;
// Brightness of the quietest programme: visible from two metres, but weaker than a ring.
constexpr double kFaintest = 0.5;

float y_of(const Rect& plot, double growth_db_per_s) {
  return plot.bottom - plot.height() * growth_share(growth_db_per_s);
}

void draw_scale(const Rect& plot, const FrequencyAxis& axis, const Theme& theme) {
  const float brink_y = y_of(plot, 0.0);
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, brink_y), colour::kOverBrink);
  draw_octave_lines(axis, plot);
  static constexpr std::array<int, 7> kMarks{100, 30, 10, 0, -10, -30, -100};
  for (const int mark : kMarks) {
    const float y = y_of(plot, mark);
    const bool is_brink = mark == 0;
    canvas().AddLine(ImVec2(plot.left, y),
                     ImVec2(plot.right, y),
                     is_brink ? colour::kText : colour::kGrid,
                     is_brink ? theme.px(2.0F) : 1.0F);
    draw_text(is_brink ? theme.strong : theme.small,
              plot.left - theme.px(8.0F),
              y - 0.5F * (is_brink ? theme.strong : theme.small)->FontSize,
              is_brink ? colour::kText : colour::kQuiet,
              is_brink ? "0" : fmt::format("{:+d}", mark),
              Align::kRight);
  }
  const float x = plot.left + theme.px(8.0F);
  draw_text(theme.small, x, plot.top + theme.px(5.0F), colour::kQuiet, "grows, dB/s");
  draw_text(theme.strong,
            x,
            brink_y - theme.strong->FontSize - theme.px(4.0F),
            colour::kText,
            "the brink");
  draw_text(theme.small,
            x,
            plot.bottom - theme.small->FontSize - theme.px(5.0F),
            colour::kQuiet,
            "dies away");
}

void draw_trail(const Rect& plot,
                const FrequencyAxis& axis,
                const Trails::Trail& trail,
                ImU32 colour,
                float thickness) {
  std::array<ImVec2, Trails::kPoints> points{};
  for (std::size_t back = 0; back < trail.size(); ++back) {
    const Trails::Point& point = trail.at(back);
    points[back] = ImVec2(axis.x_of(static_cast<double>(point.frequency_hz)),
                          y_of(plot, static_cast<double>(point.growth_db_per_s)));
  }
  canvas().AddPolyline(
      points.data(), static_cast<int>(trail.size()), colour, ImDrawFlags_None, thickness);
}

/// The place of a ring on the map.
struct RingMark {
  const detector::TrackView* track;
  double frequency_hz;        // as every list has it
  detector::RingState state;  // as every list shows it
  float x;
  float y;
};

void draw_rings(const Rect& plot,
                const FrequencyAxis& axis,
                std::span<const RingMark> rings,
                const Trails& trails,
                const Theme& theme) {
  for (const auto& [track, frequency_hz, state, x, y] : rings) {
    const ImU32 paint = state_colour(state);
    canvas().AddLine(
        ImVec2(x, plot.top), ImVec2(x, plot.bottom), with_alpha(paint, 0.35F), theme.px(1.0F));
    if (const Trails::Trail* const trail = trails.find(track->track_id)) {
      draw_trail(plot, axis, *trail, with_alpha(paint, 0.6F), theme.px(3.0F));
    }
    draw_state_mark(x, y, theme.px(kMarkRadius), state);
  }
}

/// Draws the frequency beside each mark. If marks are in each other's way, the certain ones come
/// first.
void draw_labels(const Rect& plot, std::vector<RingMark>& rings, const Theme& theme) {
  std::stable_partition(rings.begin(), rings.end(), [](const RingMark& ring) {
    return ring.state == detector::RingState::kRinging;
  });
  LabelPlaces places(plot);
  const float brink_y = y_of(plot, 0.0);
  places.keep_free({plot.left, brink_y - 1.0F, plot.right, brink_y + 1.0F});
  const float reach = theme.px(2.0F * kMarkRadius);
  for (const RingMark& ring : rings) {
    const float radius = 0.5F * reach;
    places.keep_free({ring.x - radius, ring.y - radius, ring.x + radius, ring.y + radius});
  }
  for (const RingMark& ring : rings) {
    const std::string label = base::frequency_label(ring.frequency_hz);
    const Rect place =
        places.take(ring.x, ring.y, reach, text_width(theme.strong, label), theme.strong->FontSize);
    draw_text(theme.strong, place.left, place.top, state_colour(ring.state), label);
  }
}

}  // namespace

float growth_share(double growth_db_per_s) noexcept {
  const auto bend = [](double growth) { return std::asinh(growth / kEvenDbPerS); };
  const double share = 0.5 + 0.5 * bend(growth_db_per_s) / bend(kMostDbPerS);
  return static_cast<float>(std::clamp(share, 0.0, 1.0));
}

void draw_brink_map(const Rect& plot,
                    const FrequencyAxis& axis,
                    const listen::TapSnapshot& tap,
                    const show::LiveRings& live,
                    const Trails& trails,
                    const Theme& theme) {
  const std::span<const detector::TrackView> tracks = tap.tracks;
  draw_scale(plot, axis, theme);
  const Clip clip(plot);
  // A track without a ring is taken as programme. Its point is small. The quieter the track, the
  // fainter the point.
  for (const detector::TrackView& track : tracks) {
    // A growth of exactly 0 means that the track is too young to have one.
    if (track.ring_id != 0 || track.growth_db_per_s == 0.0) {
      continue;
    }
    const auto loudness =
        static_cast<float>(std::clamp((track.level_dbfs + 110.0) / 70.0, kFaintest, 1.0));
    const ImU32 faint = with_alpha(colour::kTrack, 0.9F * loudness);
    if (const Trails::Trail* const trail = trails.find(track.track_id)) {
      draw_trail(plot, axis, *trail, with_alpha(colour::kTrack, 0.4F * loudness), theme.px(1.5F));
    }
    canvas().AddCircle(ImVec2(axis.x_of(track.frequency_hz), y_of(plot, track.growth_db_per_s)),
                       theme.px(3.5F),
                       faint,
                       10,
                       theme.px(1.6F));
  }
  draw_forecast(plot, axis, tap.forecast, theme);
  std::vector<RingMark> rings;
  for (const detector::TrackView& track : tracks) {
    if (track.ring_id != 0) {
      const float edge = theme.px(9.0F);
      const float y = y_of(plot, track.growth_db_per_s);
      const show::LiveRing* ring = live.find_number(track.ring_id);
      rings.push_back({&track,
                       ring == nullptr ? track.frequency_hz : ring->ring.frequency_hz,
                       ring == nullptr ? track.state : ring_words(ring->now()).state,
                       axis.x_of(track.frequency_hz),
                       std::clamp(y, plot.top + edge, plot.bottom - edge)});
    }
  }
  draw_rings(plot, axis, rings, trails, theme);
  draw_labels(plot, rings, theme);
}

}  // namespace brink::panel
