#include "panel/draw/first_step.h"

#include <algorithm>

#include "panel/draw/draw.h"
#include "panel/draw/seen.h"

namespace brink::panel {

void draw_first_step(Rect& area,
                     std::string_view key,
                     std::string_view words,
                     float most_height,
                     const Theme& theme) {
  const float gap = theme.px(20.0F);
  const float key_share = 0.25F;
  const SeenText name = lay_seen(theme, key, key_share * area.width(), most_height, kLeastArcMin);
  const float left = name.width() + gap;
  const SeenText text = lay_seen(theme, words, area.width() - left, most_height, kLeastArcMin);
  draw_seen(name, area.left, area.top, colour::kYellow);
  draw_seen(text, area.left + left, area.top, colour::kText);
  area.take_top(std::max(name.height(), text.height()) + theme.px(12.0F));
}

}  // namespace brink::panel
