#include "panel/draw/label_places.h"

#include <algorithm>
#include <array>

namespace brink::panel {
namespace {

/// How far above or below its mark a label is tried, in heights of the label; the nearest first.
constexpr std::array<float, 7> kShifts{0.0F, -0.75F, 0.75F, -1.5F, 1.5F, -2.25F, 2.25F};

bool overlaps(const Rect& a, const Rect& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

}  // namespace

bool LabelPlaces::is_free(const Rect& area) const {
  return area.left >= plot_.left && area.right <= plot_.right && area.top >= plot_.top &&
         area.bottom <= plot_.bottom &&
         std::none_of(
             taken_.begin(), taken_.end(), [&](const Rect& it) { return overlaps(it, area); });
}

Rect LabelPlaces::take(float x, float y, float reach, float width, float height) {
  const auto beside = [&](bool is_right, float shift) {
    const float left = is_right ? x + reach : x - reach - width;
    const float top = y + (shift - 0.5F) * height;
    return Rect{left, top, left + width, top + height};
  };
  const Rect last_resort = beside(x + reach + width <= plot_.right, 0.0F);
  for (const float shift : kShifts) {
    for (const bool is_right : {true, false}) {
      const Rect tried = beside(is_right, shift);
      if (is_free(tried)) {
        taken_.push_back(tried);
        return tried;
      }
    }
  }
  taken_.push_back(last_resort);
  return last_resort;
}

}  // namespace brink::panel
