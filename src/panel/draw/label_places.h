#pragma once

#include <vector>

#include "panel/draw/rect.h"

namespace brink::panel {

/// Where labels go on a plot, so that none covers another or what must stay visible.
class LabelPlaces {
 public:
  explicit LabelPlaces(const Rect& plot) : plot_(plot) {}

  void keep_free(const Rect& area) { taken_.push_back(area); }

  /// For a label of a mark that reaches `reach` to each side of (x, y): beside it
  /// on the right or left, else a line or two higher or lower; beside it all the same where all of
  /// that is taken. It is taken from now on.
  Rect take(float x, float y, float reach, float width, float height);

 private:
  [[nodiscard]] bool is_free(const Rect& area) const;

  Rect plot_;
  std::vector<Rect> taken_;
};

}  // namespace brink::panel
