#include "detector/confidence.h"

#include <array>
#include <cstddef>

namespace brink::detector {

namespace {

struct Point {
  float evidence;
  double share;
};

// Among the flags on loops and on programme of packages to which the tables were not fitted
// (docs/validation.md, "How sure"); never falling. What stays below 2 nat-seconds to its end is
// programme as often as not.
constexpr std::array<Point, 7> kMeasured{{{0.0F, 0.3},
                                          {0.24F, 0.4},
                                          {1.4F, 0.45},
                                          {1.8F, 0.5},
                                          {2.25F, 0.6},
                                          {2.5F, 0.9},
                                          {3.0F, 0.95}}};

}  // namespace

double confidence_of(float evidence) noexcept {
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

float evidence_of(double confidence) noexcept {
  if (confidence <= kMeasured.front().share) {
    return 0.0F;
  }
  for (std::size_t i = 1; i < kMeasured.size(); ++i) {
    if (confidence <= kMeasured[i].share) {
      const Point& low = kMeasured[i - 1];
      const Point& high = kMeasured[i];
      const auto way = static_cast<float>((confidence - low.share) / (high.share - low.share));
      return low.evidence + way * (high.evidence - low.evidence);
    }
  }
  return kMeasured.back().evidence;
}

}  // namespace brink::detector
