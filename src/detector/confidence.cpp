#include "detector/confidence.h"

#include <array>
#include <cstddef>

namespace brink::detector {

double confidence_of(float evidence) noexcept {
  struct Point {
    float evidence;
    double share;
  };

  constexpr std::array<Point, 8> kMeasured{{{0.0F, 0.3},
                                            {0.05F, 0.4},
                                            {0.12F, 0.5},
                                            {0.13F, 0.75},
                                            {0.35F, 0.85},
                                            {1.0F, 0.88},
                                            {1.8F, 0.93},
                                            {2.5F, 0.99}}};
  for (std::size_t i = 1; i < kMeasured.size(); ++i) {
    if (evidence < kMeasured[i].evidence) {
      const Point& low = kMeasured[i - 1];
      const Point& high = kMeasured[i];
      const float share = (evidence - low.evidence) / (high.evidence - low.evidence);
      return low.share + static_cast<double>(share) * (high.share - low.share);
    }
  }
  return kMeasured.back().share;
}

}  // namespace brink::detector
