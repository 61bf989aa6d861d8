#include "detector/confidence.h"

#include <array>
#include <cstddef>

namespace brink::detector {

namespace {

struct Point {
  float evidence;
  double share;
};

// Among the flags of loops and of programme that the rules were not fitted to; never falling.
constexpr std::array<Point, 8> kMeasured{{{0.0F, 0.3},
                                          {0.12F, 0.33},
                                          {0.3F, 0.4},
                                          {0.8F, 0.45},
                                          {1.0F, 0.6},
                                          {1.4F, 0.8},
                                          {1.8F, 0.93},
                                          {2.5F, 0.99}}};

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
