#include "cuts/appraise.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/units.h"

namespace brink::cuts {
namespace {

/// A move is left out if it adds less net gain than this to the others.
constexpr double kLeastNetDb = 0.05;

/// Balanced plans: what a cut that is heard must buy more, for each time that its depth holds the
/// threshold. With this price alone a plan gives up gain for quiet. The weight gives it back: on
/// the 24 seeded rooms of bench_planner, to which both were fitted, such plans win what plans for
/// most gain win (docs/log.md).
constexpr double kAudiblePriceDb = 0.05;
constexpr double kBalancedGainWeight = 1.15;

/// A cut below this frequency counts as a cut at rumble.
constexpr double kRumbleHz = 120.0;

/// A high-pass is the better remedy for rumble: it takes all of it away, also when the ring drifts,
/// and it spares bands. So a high-pass replaces every cut at rumble if it nets about as much.
Setting prefer_high_pass(const Setting& setting,
                         const Target& target,
                         const LevelOf& level_of,
                         double sample_rate_hz) {
  Setting rest = setting;
  std::erase_if(rest.cuts, [](const Cut& cut) { return cut.centre_hz < kRumbleHz; });
  if (rest.cuts.size() == setting.cuts.size() || setting.high_pass.corner_hz > 0.0) {
    return setting;
  }
  const auto cost_db = [&](const Setting& candidate) {
    return level_of(candidate) + mean_level_lost_db(candidate, sample_rate_hz);
  };
  Setting best = setting;
  double best_db = cost_db(setting) + 0.1;  // the high-pass may cost this much more
  for (const double corner_hz : target.high_pass_hz) {
    rest.high_pass.corner_hz = corner_hz;
    const double candidate_db = cost_db(rest);
    if (candidate_db < best_db) {
      best_db = candidate_db;
      best = rest;
    }
  }
  return best;
}

/// Leaves out the moves that do not pay, one at a time, the least useful first.
Plan leave_out_idle(Plan plan, const LevelOf& level_of, double sample_rate_hz) {
  const auto net_db = [](const Move& move) { return move.buys_db - move.costs_db; };
  while (!plan.moves.empty()) {
    const auto least =
        std::min_element(plan.moves.begin(), plan.moves.end(), [&](const Move& a, const Move& b) {
          return net_db(a) < net_db(b);
        });
    if (net_db(*least) >= kLeastNetDb) {
      break;
    }
    plan.moves.erase(least);
    plan = appraise(std::move(plan.moves), level_of, sample_rate_hz);
  }
  if (plan.net_db() <= 0.0) {
    return {};
  }
  return plan;
}

}  // namespace

std::vector<Move> to_moves(const Setting& setting) {
  std::vector<Move> moves;
  if (setting.high_pass.corner_hz > 0.0) {
    Move& move = moves.emplace_back();
    move.is_high_pass = true;
    move.cut.centre_hz = setting.high_pass.corner_hz;
  }
  for (const Cut& cut : setting.cuts) {
    moves.emplace_back().cut = cut;
  }
  std::sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) {
    return a.cut.centre_hz < b.cut.centre_hz;
  });
  return moves;
}

double level_at(const Setting& setting, double frequency_hz, double sample_rate_hz) {
  return base::amplitude_to_db(std::abs(response(setting, frequency_hz, sample_rate_hz)));
}

Plan appraise(std::vector<Move> moves, const LevelOf& level_of, double sample_rate_hz) {
  Plan plan;
  const double flat_db = level_of({});
  const double level_db = level_of(to_setting(moves));
  plan.won_db = flat_db - level_db;
  plan.lost_db = mean_level_lost_db(to_setting(moves), sample_rate_hz);
  for (std::size_t index = 0; index < moves.size(); ++index) {
    std::vector<Move> others = moves;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(index));
    const Setting without = to_setting(others);
    moves[index].buys_db = level_of(without) - level_db;
    moves[index].costs_db = plan.lost_db - mean_level_lost_db(without, sample_rate_hz);
  }
  plan.moves = std::move(moves);
  return plan;
}

Plan make_plan(const Setting& setting,
               const Target& target,
               const LevelOf& level_of,
               double sample_rate_hz) {
  const Setting kept = prefer_high_pass(setting, target, level_of, sample_rate_hz);
  return leave_out_idle(
      appraise(to_moves(kept), level_of, sample_rate_hz), level_of, sample_rate_hz);
}

double worth_db(const Setting& setting,
                double won_db,
                const SearchConfig& search,
                double sample_rate_hz) {
  return search.gain_weight * won_db - mean_level_lost_db(setting, sample_rate_hz) -
         search.audible_price_db * heard_cuts(setting).audibility;
}

SearchConfig search_config(const PlanConfig& config, std::uint64_t start) {
  SearchConfig search;
  search.work = config.work;
  search.most_in_use = config.most_moves;
  search.seed = config.seed + start * 0x9E3779B97F4A7C15U;
  if (config.sound == Sound::kBalanced) {
    search.audible_price_db = kAudiblePriceDb;
    search.gain_weight = kBalancedGainWeight;
  }
  search.is_audible_barred = config.sound == Sound::kInaudible;
  return search;
}

}  // namespace brink::cuts
