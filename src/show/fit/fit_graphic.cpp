#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "show/cut_words.h"
#include "show/fit/fit_case.h"

namespace brink::show {
namespace {

using cuts::Band;

std::vector<Band>::const_iterator find_band(const std::vector<Band>& cuts, double centre_hz) {
  return std::find_if(cuts.begin(), cuts.end(), [&](const Band& cut) {
    return !cuts::is_high_pass(cut) && std::abs(cut.centre_hz / centre_hz - 1.0) < 0.01;
  });
}

/// False when the band is as deep as it may go.
bool deepen_band(const FitCase& fit, std::vector<Band>& cuts, double centre_hz, double need_db) {
  const auto before = find_band(fit.input.cuts, centre_hz);
  const double before_db = before == fit.input.cuts.end() ? 0.0 : before->depth_db;
  const double least_db = std::max(before_db - need_db - fit.target.depth_step_db, fit.deepest_db);
  const auto at = find_band(cuts, centre_hz);
  const double depth_db = (at == cuts.end() ? 0.0 : at->depth_db) - fit.target.depth_step_db;
  if (depth_db < least_db - 1e-9) {
    return false;
  }
  if (at == cuts.end()) {
    cuts.push_back({centre_hz, fit.target.qs.front(), depth_db});
  } else {
    cuts[static_cast<std::size_t>(at - cuts.begin())].depth_db = depth_db;
  }
  return true;
}

}  // namespace

std::optional<Proposal> fit_graphic(const FitCase& fit, double need_db) {
  std::vector<Band> cuts = fit.input.cuts;
  while (fit.level_db(cuts, fit.ring_hz) > fit.now_db - need_db + kCloseDb) {
    std::vector<Band> best;
    double best_db = fit.level_db(cuts, fit.ring_hz) - 0.01;  // less is no help
    for (const double centre_hz : fit.centres_hz) {
      auto tried = cuts;
      if (!deepen_band(fit, tried, centre_hz, need_db)) {
        continue;
      }
      const double tried_db = fit.level_db(tried, fit.ring_hz);
      if (tried_db < best_db) {
        best_db = tried_db;
        best = std::move(tried);
      }
    }
    if (best.empty()) {
      return std::nullopt;
    }
    cuts = std::move(best);
  }
  const std::size_t main = fit.strongest(cuts);
  const Band& at = cuts[main];
  const auto was = find_band(fit.input.cuts, at.centre_hz);
  return fit.made(
      was == fit.input.cuts.end() ? Proposal::Kind::kAdds : Proposal::Kind::kDeepens,
      cuts,
      main,
      was == fit.input.cuts.end() ? "a flat band" : "deepens " + cut_words(*was, fit.target.kind));
}

}  // namespace brink::show
