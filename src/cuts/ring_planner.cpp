#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>
#include <optional>
#include <utility>

#include "base/units.h"
#include "cuts/appraise.h"
#include "cuts/fit.h"
#include "cuts/planner.h"
#include "cuts/score/ring_score.h"
#include "cuts/search.h"

namespace brink::cuts {
namespace {

/// Slots for planning from rings alone. A filter deeper than any ring needs would also take away
/// what does not ring. So a graphic's bands stop at the deepest need, and a ring between two bands
/// uses both. A parametric's bands may go `kShareDb` deeper, for a cut that lies between the rings
/// that share it.
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

/// Highest level of the rings' crossings with a setting, but never below the floor of 0 dB.
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

/// A move serves a ring if it does at least a third of what the whole plan does there.
void name_rings(Plan& plan, std::span<const Cut> wanted, double sample_rate_hz) {
  const Setting all = plan.setting();
  for (Move& move : plan.moves) {
    const Setting alone = to_setting(std::span(&move, 1));
    for (std::size_t ring = 0; ring < wanted.size(); ++ring) {
      const double f_hz = wanted[ring].centre_hz;
      const double all_db = level_at(all, f_hz, sample_rate_hz);
      if (all_db < -0.5 && level_at(alone, f_hz, sample_rate_hz) < all_db / 3.0) {
        move.for_rings.push_back(static_cast<int>(ring));
      }
    }
  }
}

Setting searched(std::span<const Crossing> crossings,
                 const Target& target,
                 const PlanConfig& config) {
  const auto slots = slots_for_rings(target, crossings, config.sample_rate_hz);
  RingScore score(crossings, 0.0, slots.size(), config.sample_rate_hz);
  LossScore loss(slots.size(), config.sample_rate_hz);
  SearchConfig quick = search_config(config, 0);
  quick.work = config.work / 13;  // there is so much less to decide than on a whole loop
  quick.use_price_db = config.move_price_db;
  return to_setting(slots, search(slots, score, loss, config.sample_rate_hz, quick));
}

/// What one would do by hand: one cut for each ring, `steps_deeper` deeper than wanted. If several
/// rings want the same band of a graphic, it goes as deep as the deepest of these. Nothing when the
/// target has too few bands.
std::optional<Setting> apart(std::span<const Cut> wanted,
                             int steps_deeper,
                             const Target& target,
                             const PlanConfig& config) {
  Setting setting;
  for (Cut deeper : wanted) {
    deeper.depth_db = depth_value(target, deeper.depth_db, steps_deeper);
    for (const Cut& cut : fit_cut(deeper, target, config.sample_rate_hz)) {
      const auto same = std::find_if(setting.cuts.begin(), setting.cuts.end(), [&](const Cut& it) {
        return target.kind == Target::Kind::kGraphic && it.centre_hz == cut.centre_hz;
      });
      if (same == setting.cuts.end()) {
        setting.cuts.push_back(cut);
      } else {
        same->depth_db = std::min(same->depth_db, cut.depth_db);
      }
    }
  }
  const bool is_possible = std::ssize(setting.cuts) <= std::min(target.bands, config.most_moves);
  return is_possible ? std::optional(setting) : std::nullopt;
}

/// The best plan for all of the wanted cuts, even if it does not bring all of them down. A search
/// may take two rings with one wide cut. From there it seldom finds two narrow cuts, which may cost
/// less. So separate cuts are tried as well.
Plan plan_for_all(std::span<const Cut> wanted, const Target& target, const PlanConfig& config) {
  const auto crossings = to_crossings(wanted, 0.49 * config.sample_rate_hz);
  const LevelOf level_of = [&](const Setting& setting) {
    return ring_level_with(crossings, setting, config.sample_rate_hz);
  };
  const SearchConfig sought = search_config(config, 0);
  const auto price_db = [&](const Setting& setting) {
    return config.move_price_db * static_cast<double>(to_moves(setting).size()) -
           worth_db(setting, -level_of(setting), sought, config.sample_rate_hz);
  };
  Setting best = searched(crossings, target, config);
  // Cuts at the rings themselves are easier to believe. So they win, unless the search gained more
  // than the price of one move.
  double best_db = price_db(best) + config.move_price_db;
  // If the grid has no value at the ring, a deeper cut beside it makes up for that.
  for (const int steps_deeper : {0, 1, 2}) {
    const auto tried = apart(wanted, steps_deeper, target, config);
    if (tried && price_db(*tried) < best_db) {
      best = *tried;
      best_db = price_db(best);
    }
  }
  return make_plan(best, target, level_of, config.sample_rate_hz);
}

/// Near half the sample rate every filter's response goes back to 0 dB. Above 0.46 of the rate,
/// only a filter at the ring or above it has an effect. (With others, a plan took two filters and
/// more for 3 dB.)
bool is_in_reach(double ring_hz, const Target& target, double sample_rate_hz) {
  return ring_hz <= 0.46 * sample_rate_hz ||
         std::any_of(target.centres_hz.begin(), target.centres_hz.end(), [&](double centre_hz) {
           return centre_hz >= ring_hz && centre_hz < 0.5 * sample_rate_hz;
         });
}

}  // namespace

Plan plan_for_cuts(std::span<const Cut> wanted, const Target& target, const PlanConfig& config) {
  const auto at = [&](int index) { return wanted[static_cast<std::size_t>(index)]; };
  std::vector<int> served(wanted.size());
  std::iota(served.begin(), served.end(), 0);
  const auto beyond = std::stable_partition(served.begin(), served.end(), [&](int index) {
    return is_in_reach(at(index).centre_hz, target, config.sample_rate_hz);
  });
  std::vector<int> unserved(beyond, served.end());
  served.erase(beyond, served.end());
  Plan plan;
  // If the target cannot serve all, the ring that needs least is left out, until the others come
  // down.
  while (!served.empty()) {
    std::vector<Cut> chosen;
    std::transform(served.begin(), served.end(), std::back_inserter(chosen), at);
    const double need_db =
        -std::min_element(chosen.begin(), chosen.end(), [](const Cut& a, const Cut& b) {
           return a.depth_db < b.depth_db;
         })->depth_db;
    plan = plan_for_all(chosen, target, config);
    // A remedy must win at least half of what was asked for, and not by turning everything down.
    if (plan.net_db() >= 0.5 * need_db) {
      break;
    }
    plan = {};
    const auto least = std::max_element(served.begin(), served.end(), [&](int a, int b) {
      return at(a).depth_db < at(b).depth_db;
    });
    unserved.push_back(*least);
    served.erase(least);
  }
  name_rings(plan, wanted, config.sample_rate_hz);
  std::sort(unserved.begin(), unserved.end());
  plan.unserved_rings = std::move(unserved);
  return plan;
}

Plan plan_for_rings(std::span<const RingMeasurement> rings,
                    const Target& target,
                    const PlanConfig& config,
                    const ProposeConfig& propose) {
  std::vector<Cut> wanted;
  std::transform(rings.begin(), rings.end(), std::back_inserter(wanted), [&](const auto& ring) {
    Cut cut = propose_cut(ring, propose);
    if (ring.frequency_hz >= 1.0) {
      cut.centre_hz = ring.frequency_hz;  // the cut's own centre is rounded
    }
    return cut;
  });
  return plan_for_cuts(wanted, target, config);
}

}  // namespace brink::cuts
