#include "cuts/fit.h"

#include "cuts/planner.h"

namespace brink::cuts {
std::vector<Cut> fit_cut(const Cut& wanted, const Target& target, double sample_rate_hz) {
  if (target.kind == Target::Kind::kParametric) {
    if (target.bands < 1) {
      return {};
    }
    return {{grid_value(target.centres_hz, wanted.centre_hz),
             grid_value(target.qs, wanted.q),
             depth_value(target, wanted.depth_db)}};
  }
  Target bands = target;
  bands.high_pass_hz.clear();  // for one ring's row, bands alone
  PlanConfig config;
  config.sample_rate_hz = sample_rate_hz;
  config.most_moves = 2;
  return plan_for_cuts({&wanted, 1}, bands, config).setting().cuts;
}

}  // namespace brink::cuts
