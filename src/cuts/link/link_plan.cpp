#include "cuts/link/link_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "cuts/link/guard.h"

namespace brink::cuts {
namespace {

using Kind = LinkPart::Kind;

Cut to_cut(const Band& band) {
  return {band.centre_hz, band.q, band.depth_db};
}

/// What it would be once the goals are reached.
LinkBands after(LinkBands bands, const std::vector<LinkGoal>& goals) {
  for (const LinkGoal& goal : goals) {
    bands.set(goal.part, goal.number);
  }
  return bands;
}

LinkGoal goal_of(const LinkBands& bands, const LinkPart& part, double value) {
  return {part, control(bands.link(), part).scale.number_of(value)};
}

/// A free band first gets its place, while it does nothing. One that works is deepened and widened
/// before it moves.
std::vector<LinkGoal> goals_for(const LinkBands& bands, std::size_t band, const Cut& cut) {
  const LinkGoal depth = goal_of(bands, {Kind::kDepth, band}, cut.depth_db);
  if (!bands.link().bands[band].frequency) {
    return {depth};
  }
  const LinkGoal frequency = goal_of(bands, {Kind::kFrequency, band}, cut.centre_hz);
  const LinkGoal q = goal_of(bands, {Kind::kQ, band}, cut.q);
  return bands.is_flat(band) ? std::vector{frequency, q, depth} : std::vector{depth, q, frequency};
}

LinkPlan by_hand(std::string why, std::optional<std::size_t> band = std::nullopt) {
  return {band, {}, std::move(why)};
}

LinkPlan move_band(const LinkBands& bands, std::size_t band, const Cut& cut) {
  LinkPlan plan{band, goals_for(bands, band, cut), ""};
  const LinkBands then = after(bands, plan.goals);
  if (!is_near(then.cut(band).value_or(Cut{1.0, 1.0, 0.0}), cut)) {
    return by_hand("the scales in the target file do not reach it", band);
  }
  const Rise rise = highest_rise(bands.known(), then.known());
  if (rise.db > kMostRiseDb) {
    return by_hand(
        fmt::format("it raises {} by {:.1f} dB", base::frequency_label(rise.at_hz), rise.db), band);
  }
  std::erase_if(plan.goals,
                [&](const LinkGoal& goal) { return bands.number(goal.part) == goal.number; });
  return plan;
}

std::optional<std::size_t> find_free(const LinkBands& bands) {
  for (std::size_t band = 0; band < bands.count(); ++band) {
    if (bands.is_flat(band)) {
      return band;
    }
  }
  return std::nullopt;
}

bool has_unknown(const LinkBands& bands) {
  return bands.known().size() < bands.count();
}

/// The band that a cut is to go to.
LinkPlan plan_cut(const LinkBands& bands, const std::optional<Cut>& was, const Cut& now) {
  const auto graphic = bands.graphic_band(now);
  const auto before = was && !graphic ? find_band(bands, *was) : std::nullopt;
  const auto there = graphic || before ? std::nullopt : find_band(bands, now);
  if (there) {
    return {there, {}, ""};  // by a hand that was faster
  }
  const auto band = graphic ? graphic : was ? before : find_free(bands);
  if (band && !bands.cut(*band)) {
    return by_hand("where the band stands is not known", band);
  }
  if (band) {
    return move_band(bands, *band, now);
  }
  return by_hand(has_unknown(bands) ? "where the console's bands stand is not known"
                 : was              ? "no band of the console stands where it was"
                                    : "no band of the console is free");
}

}  // namespace

std::vector<LinkChange> link_changes(std::span<const Band> before, std::span<const Band> after) {
  std::vector<Band> was(before.begin(), before.end());
  std::vector<Band> now(after.begin(), after.end());
  std::erase_if(now, [&](const Band& band) {
    const auto same = std::find(was.begin(), was.end(), band);
    const bool stays = same != was.end();
    if (stays) {
      was.erase(same);
    }
    return stays;
  });
  std::vector<LinkChange> changes;
  constexpr double kNearOctaves = 1.0 / 3.0;
  for (const Band& band : now) {
    const auto distance = [&](const Band& other) {
      return other.kind == band.kind ? std::abs(std::log2(other.centre_hz / band.centre_hz)) : 1e9;
    };
    const auto nearest =
        std::min_element(was.begin(), was.end(), [&](const Band& a, const Band& b) {
          return distance(a) < distance(b);
        });
    if (nearest != was.end() && distance(*nearest) <= kNearOctaves) {
      changes.push_back({*nearest, band});
      was.erase(nearest);
    } else {
      changes.push_back({std::nullopt, band});
    }
  }
  for (const Band& band : was) {
    changes.push_back({band, std::nullopt});
  }
  return changes;
}

std::optional<std::size_t> find_band(const LinkBands& bands, const Cut& cut) {
  for (std::size_t band = 0; band < bands.count(); ++band) {
    const auto at = bands.cut(band);
    if (at && is_near(*at, cut)) {
      return band;
    }
  }
  return std::nullopt;
}

LinkPlan plan_change(const LinkBands& bands, const LinkChange& change) {
  if (bands.count() == 0) {
    return by_hand("the target file links no bands");
  }
  const bool has_high_pass =
      (change.was && is_high_pass(*change.was)) || (change.now && is_high_pass(*change.now));
  if (has_high_pass) {
    return by_hand("brink sends no high-pass: it cannot be turned up softly");
  }
  const auto was = change.was ? std::optional(to_cut(*change.was)) : std::nullopt;
  if (!change.now) {
    const auto band = was ? find_band(bands, *was) : std::nullopt;
    return by_hand("brink never takes a cut out", band);
  }
  return plan_cut(bands, was, to_cut(*change.now));
}

std::optional<double> next_number(const LinkBands& bands,
                                  std::span<const Cut> start,
                                  const LinkGoal& goal) {
  const Scale& scale = control(bands.link(), goal.part).scale;
  const auto number = bands.number(goal.part);
  const double from = number ? scale.value_of(*number).value_or(0.0) : 0.0;
  const double to = scale.value_of(goal.number).value_or(0.0);
  const bool is_depth = goal.part.kind == Kind::kDepth;
  const std::vector<Cut> now = bands.known();
  const auto is_allowed = [&](double candidate) {
    constexpr double kRounding = 1e-4;  // of 32-bit numbers
    LinkBands then = bands;
    then.set(goal.part, candidate);
    const std::vector<Cut> known = then.known();
    return known.size() == now.size() && highest_rise(known, now).db <= kMostStepDb + kRounding &&
           highest_rise(now, known).db <= kMostRiseDb &&
           highest_rise(start, known).db <= kMostRiseDb;
  };
  if (!number) {  // of a flat band
    return is_allowed(goal.number) ? std::optional(goal.number) : std::nullopt;
  }
  double part = is_depth ? std::min(1.0, kMostStepDb / std::max(std::abs(to - from), 1e-9)) : 1.0;
  constexpr int kHalvings = 8;
  for (int i = 0; i < kHalvings; ++i, part /= 2.0) {
    const double value = is_depth ? from + part * (to - from) : from * std::pow(to / from, part);
    const double candidate = part == 1.0 ? goal.number : scale.number_of(value);
    if (candidate != *number && is_allowed(candidate)) {
      return candidate;
    }
  }
  const double last = scale.step_towards(*number, goal.number);
  return scale.is_whole() && last != *number && is_allowed(last) ? std::optional(last)
                                                                 : std::nullopt;
}

}  // namespace brink::cuts
