#include "cuts/fit.h"

#include <algorithm>
#include <cmath>

#include "cuts/planner.h"
#include "cuts/slot.h"

namespace brink::cuts {
namespace {

/// Nearest in ratio, as ears and consoles count centres and Q.
double nearest(const std::vector<double>& grid, double wanted) {
  return *std::min_element(grid.begin(), grid.end(), [wanted](double a, double b) {
    return std::abs(std::log(a / wanted)) < std::abs(std::log(b / wanted));
  });
}

double to_step(double depth_db, const Target& target) {
  const double steps = std::max(1.0, std::round(depth_db / -target.depth_step_db));
  return std::max(-steps * target.depth_step_db, target.deepest_db);
}

}  // namespace

std::vector<Cut> fit_cut(const Cut& wanted, const Target& target, double sample_rate_hz) {
  if (target.kind == Target::Kind::kParametric) {
    if (target.bands < 1) {
      return {};
    }
    return {{nearest(target.centres_hz, wanted.centre_hz),
             nearest(target.qs, wanted.q),
             to_step(wanted.depth_db, target)}};
  }
  Target bands = target;
  bands.high_pass_hz.clear();  // for one ring's row, bands alone
  PlanConfig config;
  config.sample_rate_hz = sample_rate_hz;
  config.most_moves = 2;
  return plan_for_cuts({&wanted, 1}, bands, config).setting().cuts;
}

}  // namespace brink::cuts
