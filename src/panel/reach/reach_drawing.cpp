#include "panel/reach/reach_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "desk/reach_places.h"
#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

bool overlap(const Rect& a, const Rect& b) noexcept {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/// Finds room for words near the points that they belong to.
class Labels {
 public:
  Labels(const Rect& area, const Theme& theme) : area_(area), theme_(theme) {}

  void keep_free(const Rect& taken) { taken_.push_back(taken); }

  void keep_free(ImVec2 from, ImVec2 to) {
    const float length = std::max(std::hypot(to.x - from.x, to.y - from.y), 1.0F);
    const int pieces = 1 + static_cast<int>(length / theme_.px(8.0F));
    for (int i = 0; i <= pieces; ++i) {
      const float share = static_cast<float>(i) / static_cast<float>(pieces);
      const float x = from.x + share * (to.x - from.x);
      const float y = from.y + share * (to.y - from.y);
      keep_free({x - 1.0F, y - 1.0F, x + 1.0F, y + 1.0F});
    }
  }

  /// Puts the words as near to the point as there is room. From a distance a thin line leads to the
  /// point.
  void put(ImVec2 point, const std::string& words, ImFont* font, ImU32 paint) {
    const float half_width = 0.5F * text_width(font, words);
    const float half_height = 0.5F * font->FontSize;
    static const std::array<ImVec2, 8> ways{{{0, 1},
                                             {0, -1},
                                             {1, 0},
                                             {-1, 0},
                                             {0.7F, 0.7F},
                                             {-0.7F, 0.7F},
                                             {0.7F, -0.7F},
                                             {-0.7F, -0.7F}}};
    constexpr int kTries = 16;
    for (int round = 0; round < kTries; ++round) {
      const float away = 16.0F + 12.0F * static_cast<float>(round);
      for (const ImVec2& way : ways) {
        const float x = point.x + way.x * (theme_.px(away) + half_width);
        const float y = point.y + way.y * (theme_.px(away) + half_height);
        const Rect box{x - half_width, y - half_height, x + half_width, y + half_height};
        if (is_free(box)) {
          if (away > 30.0F) {
            const float edge_x = std::clamp(point.x, box.left, box.right);
            const float edge_y = std::clamp(point.y, box.top, box.bottom);
            canvas().AddLine(point, ImVec2(edge_x, edge_y), colour::kQuiet);
          }
          draw_text(font, box.left, box.top, paint, words);
          keep_free(box);
          return;
        }
      }
    }
  }

 private:
  [[nodiscard]] bool is_free(const Rect& box) const {
    const Rect wide = box.inset(-theme_.px(4.0F));
    return wide.left >= area_.left && wide.right <= area_.right && wide.top >= area_.top &&
           wide.bottom <= area_.bottom &&
           std::none_of(taken_.begin(), taken_.end(), [&](const Rect& other) {
             return overlap(wide, other);
           });
  }

  Rect area_;
  const Theme& theme_;
  std::vector<Rect> taken_;
};

/// Converts the plan's unit to the window's pixels, with the whole plan in the middle of the area.
class Scale {
 public:
  Scale(const Rect& area, const desk::ReachPlaces& places) {
    const std::array<desk::Place, 4> all{
        places.talker, places.microphone, places.loudspeaker, places.listener};
    desk::Place low = all[0];
    desk::Place high = all[0];
    for (const desk::Place& place : all) {
      low = {std::min(low.x, place.x), std::min(low.y, place.y)};
      high = {std::max(high.x, place.x), std::max(high.y, place.y)};
    }
    const double across = std::max(high.x - low.x, 1e-9);
    const double down = std::max(high.y - low.y, 1e-9);
    px_ = static_cast<float>(std::min(static_cast<double>(area.width()) / across,
                                      static_cast<double>(area.height()) / down));
    left_ = area.middle_x() - px_ * static_cast<float>(0.5 * (low.x + high.x));
    base_ = area.middle_y() + px_ * static_cast<float>(0.5 * (low.y + high.y));
  }

  [[nodiscard]] ImVec2 at(desk::Place place) const noexcept {
    return {left_ + px_ * static_cast<float>(place.x), base_ - px_ * static_cast<float>(place.y)};
  }

  [[nodiscard]] float px() const noexcept { return px_; }

 private:
  float px_ = 1.0F;
  float left_ = 0.0F;
  float base_ = 0.0F;
};

/// Draws a bar of a round length, so that the eye can measure.
void draw_measure(const Rect& area,
                  float px_per_unit,
                  const std::string& unit,
                  const Theme& theme) {
  // This ends: the plan is at most 10 000 units wide and has at least 20 pixels.
  double length = 0.01;
  constexpr std::array<double, 3> kUp{2.0, 2.5, 2.0};
  for (std::size_t i = 0;
       length * static_cast<double>(px_per_unit) < static_cast<double>(theme.px(60.0F));
       ++i) {
    length *= kUp[i % kUp.size()];
  }
  const float width = px_per_unit * static_cast<float>(length);
  const float y = area.bottom - theme.px(8.0F);
  canvas().AddLine(
      ImVec2(area.right - width, y), ImVec2(area.right, y), colour::kQuiet, theme.px(2.0F));
  draw_text(theme.small,
            area.right - 0.5F * width,
            y - theme.small->FontSize - theme.px(4.0F),
            colour::kQuiet,
            fmt::format("{:g} {}", length, unit),
            Align::kMiddle);
}

struct Side {
  desk::ReachField field = desk::ReachField::kTalkerToMicrophone;
  desk::Place from;
  desk::Place to;
};

void draw_marks(const Scale& scale, const desk::ReachPlaces& places, const Theme& theme) {
  const float size = theme.px(7.0F);
  const ImVec2 talker = scale.at(places.talker);
  const ImVec2 microphone = scale.at(places.microphone);
  const ImVec2 loudspeaker = scale.at(places.loudspeaker);
  const ImVec2 listener = scale.at(places.listener);
  canvas().AddCircleFilled(talker, size, colour::kText);
  canvas().AddCircle(listener, size, colour::kText, 0, theme.px(2.5F));
  // A box with a horn that points to the listener.
  const float distance =
      std::max(std::hypot(listener.x - loudspeaker.x, listener.y - loudspeaker.y), 1.0F);
  const ImVec2 ahead((listener.x - loudspeaker.x) / distance,
                     (listener.y - loudspeaker.y) / distance);
  const auto corner = [&](float along, float across) {
    return ImVec2(loudspeaker.x + size * (along * ahead.x - across * ahead.y),
                  loudspeaker.y + size * (along * ahead.y + across * ahead.x));
  };
  canvas().AddQuadFilled(corner(-1.1F, -0.7F),
                         corner(0.0F, -0.7F),
                         corner(0.0F, 0.7F),
                         corner(-1.1F, 0.7F),
                         colour::kOrange);
  canvas().AddQuadFilled(corner(0.0F, -0.5F),
                         corner(1.2F, -1.4F),
                         corner(1.2F, 1.4F),
                         corner(0.0F, 0.5F),
                         colour::kOrange);
  canvas().AddCircleFilled(microphone, 0.7F * size, colour::kSky);
  canvas().AddCircle(microphone, 0.7F * size, colour::kGround, 0, theme.px(1.5F));
}

}  // namespace

void draw_reach_plan(const Rect& area,
                     const desk::ReachForm& form,
                     desk::ReachField selected,
                     const Theme& theme) {
  canvas().AddRectFilled(
      ImVec2(area.left, area.top), ImVec2(area.right, area.bottom), colour::kPlot);
  if (!form.answer()) {
    draw_wrapped(theme.title,
                 area.left + theme.px(24.0F),
                 area.middle_y() - theme.px(30.0F),
                 area.width() - theme.px(48.0F),
                 colour::kOrange,
                 form.fault());
    return;
  }
  const desk::ReachPlaces places = desk::reach_places(form.question().setup);
  const Rect inner{area.left + theme.px(90.0F),
                   area.top + theme.px(46.0F),
                   area.right - theme.px(90.0F),
                   area.bottom - theme.px(66.0F)};
  if (inner.width() < theme.px(40.0F) || inner.height() < theme.px(20.0F)) {
    return;  // there is no room to draw
  }
  const Scale scale(inner, places);
  Labels labels(area.inset(theme.px(6.0F)), theme);
  const Rect foot = area.inset(theme.px(10.0F));
  draw_text(theme.small,
            foot.left,
            foot.bottom - theme.small->FontSize,
            colour::kQuiet,
            "From above, to scale");
  labels.keep_free({foot.left, foot.bottom - theme.px(34.0F), foot.right, foot.bottom});
  draw_measure(foot, scale.px(), form.question().unit, theme);

  using desk::ReachField;
  const std::array<Side, 4> sides{
      {{ReachField::kTalkerToMicrophone, places.talker, places.microphone},
       {ReachField::kTalkerToListener, places.talker, places.listener},
       {ReachField::kMicrophoneToLoudspeaker, places.microphone, places.loudspeaker},
       {ReachField::kLoudspeakerToListener, places.loudspeaker, places.listener}}};
  for (const Side& side : sides) {
    const bool is_lit = side.field == selected;
    labels.keep_free(scale.at(side.from), scale.at(side.to));
    canvas().AddLine(scale.at(side.from),
                     scale.at(side.to),
                     is_lit ? colour::kYellow : colour::kTrack,
                     theme.px(is_lit ? 3.0F : 1.5F));
  }
  draw_marks(scale, places, theme);
  const float mark = theme.px(10.0F);
  const std::array<desk::Place, 4> points{
      places.talker, places.microphone, places.loudspeaker, places.listener};
  for (const desk::Place& place : points) {
    const ImVec2 at = scale.at(place);
    labels.keep_free({at.x - mark, at.y - mark, at.x + mark, at.y + mark});
  }
  constexpr std::array<const char*, 4> kNames{"Talker", "Microphone", "Loudspeaker", "Listener"};
  for (std::size_t i = 0; i < points.size(); ++i) {
    labels.put(scale.at(points[i]), kNames[i], theme.strong, colour::kText);
  }
  for (const Side& side : sides) {
    const ImVec2 from = scale.at(side.from);
    const ImVec2 to = scale.at(side.to);
    labels.put(ImVec2(0.5F * (from.x + to.x), 0.5F * (from.y + to.y)),
               form.value_text(side.field),
               theme.body,
               side.field == selected ? colour::kYellow : colour::kQuiet);
  }
}

void draw_reach_bars(const Rect& area, const loop::Reach& reach, const Theme& theme) {
  Rect rest = area;
  const Rect names = rest.take_left(theme.px(136.0F));
  const Rect figures = rest.take_right(theme.px(84.0F));
  const double low_db = std::min({0.0, reach.potential_db, reach.needed_db});
  const double high_db = std::max({1.0, reach.potential_db, reach.needed_db});
  const auto x_of = [&](double level_db) {
    return rest.left + rest.width() * static_cast<float>((level_db - low_db) / (high_db - low_db));
  };
  const float row = 0.5F * area.height();
  const auto draw_bar = [&](float top, const char* name, double level_db, ImU32 paint) {
    const float y = top + 0.5F * row - 0.5F * theme.strong->FontSize;
    draw_text(theme.strong, names.left, y, colour::kText, name);
    const float half = std::min(0.36F * row, theme.px(13.0F));
    canvas().AddRectFilled(ImVec2(std::min(x_of(0.0), x_of(level_db)), top + 0.5F * row - half),
                           ImVec2(std::max(x_of(0.0), x_of(level_db)), top + 0.5F * row + half),
                           paint);
    draw_text(theme.strong,
              figures.right,
              y,
              colour::kText,
              fmt::format("{:.1f} dB", level_db),
              Align::kRight);
  };
  draw_bar(area.top, "Potential gain", reach.potential_db, colour::kSky);
  draw_bar(area.top + row, "Needed gain", reach.needed_db, colour::kPurple);
  canvas().AddLine(ImVec2(x_of(0.0), area.top), ImVec2(x_of(0.0), area.bottom), colour::kText);
}

}  // namespace brink::panel
