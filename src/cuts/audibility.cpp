#include "cuts/audibility.h"

#include <algorithm>
#include <cmath>

namespace brink::cuts {

double audible_depth_db(double q) noexcept {
  return 1.5 * std::pow(q, 0.30);
}

double audibility(const Cut& cut) noexcept {
  return cut.q > 0.0 ? std::max(0.0, -cut.depth_db) / audible_depth_db(cut.q) : 0.0;
}

int audible_count(const Setting& setting) noexcept {
  return static_cast<int>(std::count_if(
      setting.cuts.begin(), setting.cuts.end(), [](const Cut& c) { return audibility(c) > 1.0; }));
}

}  // namespace brink::cuts
