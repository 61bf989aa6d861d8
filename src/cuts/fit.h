#pragma once

#include <vector>

#include "cuts/cut.h"
#include "cuts/target.h"

namespace brink::cuts {

/// The cut that a target can make in place of a wanted one, for a row on a screen. A parametric
/// takes the nearest centre, Q and depth of its grids. A graphic takes the bands that together come
/// nearest: two when the centre lies between them. For several rings at once use plan_for_cuts().
/// Takes less than a millisecond. Empty when the target has no band there.
[[nodiscard]] std::vector<Cut> fit_cut(const Cut& wanted,
                                       const Target& target,
                                       double sample_rate_hz);

}  // namespace brink::cuts
