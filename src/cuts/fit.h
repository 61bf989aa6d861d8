#pragma once

#include <vector>

#include "cuts/cut.h"
#include "cuts/target.h"

namespace brink::cuts {

/// One wanted cut as the target can make it, for a row on a screen: on a parametric the nearest
/// centre, Q and depth of its grids; on a graphic the bands that together come nearest, two when
/// the centre lies between them. Cuts for several rings at once are plan_for_cuts()'s. Takes
/// less than a millisecond. Empty when the target has no band there.
[[nodiscard]] std::vector<Cut> fit_cut(const Cut& wanted,
                                       const Target& target,
                                       double sample_rate_hz);

}  // namespace brink::cuts
