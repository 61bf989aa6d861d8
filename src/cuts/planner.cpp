#include "cuts/planner.h"

#include <optional>

#include "base/units.h"
#include "cuts/appraise.h"
#include "cuts/loop_level.h"
#include "cuts/score/loop_score.h"
#include "cuts/search.h"

namespace brink::cuts {

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

Setting Plan::setting() const {
  return to_setting(moves);
}

Plan plan_for_loop(const LoopGain& loop, const Target& target, const PlanConfig& config) {
  const auto slots = to_slots(target, config.sample_rate_hz);
  const LoopLevel level(loop, config.sample_rate_hz);
  const LevelOf level_of = [&](const Setting& setting) { return level.highest_db(setting); };
  std::optional<Setting> best;
  double best_db = 0.0;
  const double flat_db = level_of({});
  if (flat_db > base::kSilenceDb) {
    // Two starts find more than one start or many starts in the same time: see docs/log.md.
    for (std::uint64_t start = 0; start < 2; ++start) {
      LoopScore score(loop, slots.size(), config.sample_rate_hz);
      LossScore loss(slots.size(), config.sample_rate_hz);
      const SearchConfig wanted = search_config(config, start);
      const auto choices = search(slots, score, loss, config.sample_rate_hz, wanted);
      const Setting setting = cuts::to_setting(slots, choices);
      const double setting_db =
          worth_db(setting, flat_db - level_of(setting), wanted, config.sample_rate_hz);
      if (setting_db > best_db) {
        best_db = setting_db;
        best = setting;
      }
    }
  }
  Plan plan;
  if (best) {
    plan = make_plan(*best, target, level_of, config.sample_rate_hz);
  }
  plan.next_rings = level.crossings(plan.setting(), 3.0);
  return plan;
}

}  // namespace brink::cuts
