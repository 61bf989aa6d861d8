#include "cuts/planner.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <numbers>
#include <numeric>
#include <optional>

#include "core/units.h"
#include "cuts/loop_level.h"
#include "cuts/loop_score.h"
#include "cuts/ring_score.h"
#include "cuts/search.h"

namespace brink::cuts {
namespace {

/// A move that nets less than this beside the others is left out.
constexpr double kLeastNetDb = 0.05;

/// Level of the highest crossing with an equaliser in it.
using LevelOf = std::function<double(const Setting&)>;

Setting to_setting(std::span<const Move> moves) {
  Setting setting;
  for (const Move& move : moves) {
    if (move.is_high_pass) {
      setting.high_pass.corner_hz = move.cut.centre_hz;
    } else {
      setting.cuts.push_back(move.cut);
    }
  }
  return setting;
}

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

/// What moves are worth on `level_of`, and each of them beside the others.
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

/// Leaves out what does not pay, one move at a time and the least of them first.
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

/// Level of a whole setting at one frequency, dB.
double level_at(const Setting& setting, double frequency_hz, double sample_rate_hz) {
  return core::amplitude_to_db(std::abs(response(setting, frequency_hz, sample_rate_hz)));
}

/// A move serves a ring when it does at least a third of what the whole plan does there.
void name_rings(Plan& plan, std::span<const RingMeasurement> rings, double sample_rate_hz) {
  const Setting all = plan.setting();
  for (Move& move : plan.moves) {
    const Setting alone = to_setting(std::span(&move, 1));
    for (std::size_t ring = 0; ring < rings.size(); ++ring) {
      const double f_hz = rings[ring].frequency_hz;
      const double all_db = level_at(all, f_hz, sample_rate_hz);
      if (all_db < -0.5 && level_at(alone, f_hz, sample_rate_hz) < all_db / 3.0) {
        move.for_rings.push_back(static_cast<int>(ring));
      }
    }
  }
}

/// What a move must buy beyond its loss when only rings are known: the model is coarse, so a plan
/// with fewer moves is taken for better even if it costs a little more.
constexpr double kMovePriceDb = 0.2;

/// Under this a cut is a cut at rumble.
constexpr double kRumbleHz = 120.0;

/// Rumble is better off with a high-pass than with cuts: it takes all of it, wherever the ring
/// drifts to, and spares bands. Puts one in the place of every cut at rumble when that nets about
/// as much.
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
  double best_db = cost_db(setting) + 0.1;  // what the preference may cost
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

/// Slots for rings alone. What goes deeper than any ring asks for takes what does not ring: a
/// graphic's bands stop there, so that a ring between two takes both; a parametric's stop
/// `kShareDb` below, for a cut that stands between the rings that share it.
constexpr double kShareDb = 3.0;

std::vector<Slot> slots_for_rings(const Target& target,
                                  std::span<const Crossing> crossings,
                                  double sample_rate_hz) {
  auto slots = to_slots(target, sample_rate_hz);
  double need_db = target.kind == Target::Kind::kGraphic ? 0.0 : kShareDb;
  const double more_db = need_db;
  for (const Crossing& crossing : crossings) {
    need_db = std::max(need_db, crossing.level_db + more_db);
  }
  for (Slot& slot : slots) {
    if (slot.kind == Slot::Kind::kPeaking) {
      std::erase_if(slot.depths_db, [&](double depth_db) { return depth_db < -need_db; });
    }
  }
  std::erase_if(slots, [](const Slot& slot) { return slot.depths_db.size() < 2; });
  return slots;
}

SearchConfig search_config(const PlanConfig& config, std::uint64_t start) {
  SearchConfig search;
  search.work = config.work;
  search.most_in_use = config.most_moves;
  search.seed = config.seed + start * 0x9E3779B97F4A7C15U;
  return search;
}

/// The rings as crossings of a loop: each as high as the cut that it asks for is deep, and half as
/// high at that cut's edges.
std::vector<Crossing> to_crossings(std::span<const RingMeasurement> rings,
                                   const ProposeConfig& propose,
                                   double highest_hz) {
  std::vector<Crossing> crossings;
  for (const RingMeasurement& ring : rings) {
    const Cut cut = propose_cut(ring, propose);
    const double need_db = -cut.depth_db;
    const double half_octaves = 0.5 / cut.q / std::numbers::ln2;
    for (const double octaves : {-half_octaves, 0.0, half_octaves}) {
      const double f_hz = std::min(ring.frequency_hz * std::exp2(octaves), highest_hz);
      crossings.push_back({f_hz, octaves == 0.0 ? need_db : 0.5 * need_db});
    }
  }
  return crossings;
}

/// Highest level of the rings' crossings with a setting, the floor of 0 dB counted.
double ring_level_with(std::span<const Crossing> crossings,
                       const Setting& setting,
                       double sample_rate_hz) {
  double highest_db = 0.0;
  for (const Crossing& crossing : crossings) {
    highest_db = std::max(
        highest_db, crossing.level_db + level_at(setting, crossing.frequency_hz, sample_rate_hz));
  }
  return highest_db;
}

}  // namespace

Setting Plan::setting() const {
  return to_setting(moves);
}

Plan plan_for_loop(const LoopGain& loop, const Target& target, const PlanConfig& config) {
  const auto slots = to_slots(target, config.sample_rate_hz);
  const LoopLevel level(loop, config.sample_rate_hz);
  const LevelOf level_of = [&](const Setting& setting) { return level.highest_db(setting); };
  std::optional<Setting> best;
  double best_net_db = 0.0;
  const double flat_db = level_of({});
  if (flat_db > core::kSilenceDb) {
    // Two starts find more than one search twice as long does: see docs/log.md.
    for (std::uint64_t start = 0; start < 2; ++start) {
      LoopScore score(loop, slots.size(), config.sample_rate_hz);
      LossScore loss(slots.size(), config.sample_rate_hz);
      const auto choices =
          search(slots, score, loss, config.sample_rate_hz, search_config(config, start));
      const Setting setting = cuts::to_setting(slots, choices);
      const double net_db =
          flat_db - level_of(setting) - mean_level_lost_db(setting, config.sample_rate_hz);
      if (net_db > best_net_db) {
        best_net_db = net_db;
        best = setting;
      }
    }
  }
  Plan plan;
  if (best) {
    const Setting setting = prefer_high_pass(*best, target, level_of, config.sample_rate_hz);
    plan = leave_out_idle(appraise(to_moves(setting), level_of, config.sample_rate_hz),
                          level_of,
                          config.sample_rate_hz);
  }
  plan.next_rings = level.crossings(plan.setting(), 3.0);
  return plan;
}

Plan plan_for_rings(std::span<const RingMeasurement> rings,
                    const Target& target,
                    const PlanConfig& config,
                    const ProposeConfig& propose) {
  // The search needs an eighth of what a whole loop needs.
  PlanConfig quick = config;
  quick.work = config.work / 8;
  std::vector<int> served(rings.size());
  std::iota(served.begin(), served.end(), 0);
  std::vector<int> unserved;
  const auto at = [&](int index) -> const RingMeasurement& {
    return rings[static_cast<std::size_t>(index)];
  };
  const auto need_db = [&](int index) { return -propose_cut(at(index), propose).depth_db; };
  // More rings than the target can reach: the one that needs least goes without, until the others
  // come down.
  while (!served.empty()) {
    std::vector<RingMeasurement> chosen;
    std::transform(served.begin(), served.end(), std::back_inserter(chosen), at);
    const auto crossings = to_crossings(chosen, propose, 0.49 * config.sample_rate_hz);
    const LevelOf level_of = [&](const Setting& setting) {
      return ring_level_with(crossings, setting, config.sample_rate_hz);
    };
    const auto slots = slots_for_rings(target, crossings, config.sample_rate_hz);
    RingScore score(crossings, 0.0, slots.size(), config.sample_rate_hz);
    LossScore loss(slots.size(), config.sample_rate_hz);
    SearchConfig search_quick = search_config(quick, 0);
    search_quick.use_price_db = kMovePriceDb;
    const auto choices = search(slots, score, loss, config.sample_rate_hz, search_quick);
    const Setting setting =
        prefer_high_pass(cuts::to_setting(slots, choices), target, level_of, config.sample_rate_hz);
    Plan plan = leave_out_idle(appraise(to_moves(setting), level_of, config.sample_rate_hz),
                               level_of,
                               config.sample_rate_hz);
    // Less than half of what was asked for, or won by turning everything down, is no remedy.
    if (plan.net_db() >= 0.5 * level_of({})) {
      name_rings(plan, rings, config.sample_rate_hz);
      plan.unserved_rings = std::move(unserved);
      std::sort(plan.unserved_rings.begin(), plan.unserved_rings.end());
      return plan;
    }
    const auto least = std::min_element(
        served.begin(), served.end(), [&](int a, int b) { return need_db(a) < need_db(b); });
    unserved.push_back(*least);
    served.erase(least);
  }
  Plan plan;
  plan.unserved_rings = std::move(unserved);
  std::sort(plan.unserved_rings.begin(), plan.unserved_rings.end());
  return plan;
}

}  // namespace brink::cuts
