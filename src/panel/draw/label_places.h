#pragma once

#include <vector>

#include "panel/draw/rect.h"

namespace brink::panel {

/// Places for labels on a plot, so that no label covers another or something that must stay
/// visible.
class LabelPlaces {
 public:
  explicit LabelPlaces(const Rect& plot) : plot_(plot) {}

  /// Marks an area that no label may cover.
  void keep_free(const Rect& area) { taken_.push_back(area); }

  /// The place for a label of a mark that reaches `reach` to each side of (x, y). It is to the
  /// right or left of the mark, or else a line or two higher or lower. If all these places are
  /// taken, it is beside the mark. The place is taken from then on.
  Rect take(float x, float y, float reach, float width, float height);

 private:
  [[nodiscard]] bool is_free(const Rect& area) const;

  Rect plot_;
  std::vector<Rect> taken_;
};

}  // namespace brink::panel
