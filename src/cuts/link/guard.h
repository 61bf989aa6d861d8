#pragma once

#include <span>

#include "cuts/cut.h"

namespace brink::cuts {

/// The most that a response rises, and where.
struct Rise {
  double db = 0.0;  ///< 0 where nothing rises
  double at_hz = 0.0;
};

/// What a console may be told at most: no frequency comes up by more than this.
inline constexpr double kMostRiseDb = 0.1;

/// The guard of the link to a console: how far the whole response of the peaking bands `after`
/// stands above that of `before`, at the frequency where that is most, 1 Hz to 22.05 kHz. A depth
/// may be above 0: a console's band can be a boost. Whoever builds the console, its filters lie
/// between the analogue ones and digital ones at 44.1 kHz; the larger rise of the two counts. The
/// order within each list does not matter. Every number finite, centres and Q above 0. [any]
[[nodiscard]] Rise highest_rise(std::span<const Cut> before, std::span<const Cut> after);

}  // namespace brink::cuts
