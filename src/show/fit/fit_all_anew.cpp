#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "cuts/filters.h"
#include "cuts/planner.h"
#include "show/fit/fit_case.h"

namespace brink::show {
namespace {

using cuts::Band;

/// The planner's work for one refit: 4 to 15 ms, measured in docs/log.md.
constexpr std::int64_t kRefitWork = 1'000'000;

/// Wanted cuts of all that rang so far, of cuts that nobody rang for, and last of this ring.
std::vector<cuts::Cut> all_wanted(const FitCase& fit, double need_db) {
  std::vector<cuts::Cut> wanted;
  for (const RungPlace& place : fit.input.rung) {
    wanted.push_back({place.frequency_hz,
                      place.q,
                      std::min(fit.level_db(fit.input.cuts, place.frequency_hz), -1.0)});
  }
  for (const Band& cut : fit.input.cuts) {
    const bool is_for_a_ring =
        std::any_of(fit.input.rung.begin(), fit.input.rung.end(), [&](const RungPlace& place) {
          return std::abs(std::log2(place.frequency_hz / cut.centre_hz)) <=
                 0.5 * cuts::q_to_bandwidth(cut.q);
        });
    if (!cuts::is_high_pass(cut) && !is_for_a_ring) {
      wanted.push_back({cut.centre_hz, cut.q, cut.depth_db});
    }
  }
  wanted.push_back({fit.ring_hz, fit.input.wanted.q, fit.now_db - need_db});
  return wanted;
}

/// If a refit halved the cut of an earlier ring, that ring would come back.
bool loses_a_place(const FitCase& fit, std::span<const Band> cuts) {
  return std::any_of(fit.input.rung.begin(), fit.input.rung.end(), [&](const RungPlace& place) {
    return fit.level_db(cuts, place.frequency_hz) >
           0.5 * fit.level_db(fit.input.cuts, place.frequency_hz);
  });
}

}  // namespace

std::optional<Proposal> fit_all_anew(const FitCase& fit, double need_db) {
  cuts::Target shallow = fit.target;
  shallow.deepest_db = fit.deepest_db;
  cuts::PlanConfig config;
  config.sample_rate_hz = fit.input.sample_rate_hz;
  config.most_moves = fit.target.bands + (fit.target.high_pass_hz.empty() ? 0 : 1);
  config.work = kRefitWork;
  const cuts::Plan plan = cuts::plan_for_cuts(all_wanted(fit, need_db), shallow, config);
  std::vector<Band> cuts = cuts::to_bands(plan.setting());
  // A high-pass that stood by itself, for what a microphone need not hear, stays.
  for (const Band& cut : fit.input.cuts) {
    if (cuts::is_high_pass(cut) && std::none_of(cuts.begin(), cuts.end(), cuts::is_high_pass)) {
      cuts.insert(cuts.begin(), cut);
    }
  }
  if (cuts.empty() || fit.level_db(cuts, fit.ring_hz) > fit.now_db - 0.5 * need_db ||
      loses_a_place(fit, cuts)) {
    return std::nullopt;
  }
  const std::size_t index = fit.strongest(cuts);
  return fit.made(
      Proposal::Kind::kRefits, std::move(cuts), index, "no band is free: set anew for all rings");
}

}  // namespace brink::show
