#include "show/cut_proposal.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

#include "cuts/appraise.h"
#include "cuts/filters.h"
#include "cuts/planner.h"
#include "cuts/target.h"
#include "show/cut_words.h"
#include "show/kept_target.h"

namespace brink::show {
namespace {

using cuts::Band;

/// Beyond this, cutting is the wrong remedy (cuts::ProposeConfig).
constexpr double kDeepestDb = -12.0;

/// Levels nearer than this are one: half a usual step of depth, and far less than a ring tells of
/// its own excess. Without it, a centre half a step beside the ring would cost a step of depth.
constexpr double kCloseDb = 0.25;

/// A ring below this is rumble. A high-pass is used there if it costs no more than the cut.
constexpr double kRumbleHz = 120.0;

/// The planner's work for one refit: 4 to 15 ms, measured in docs/log.md.
constexpr std::int64_t kRefitWork = 1'000'000;

double area_of(const Band& cut) noexcept {
  return -cut.depth_db * cuts::q_to_bandwidth(cut.q);
}

/// Level wanted at one frequency or lower.
struct Demand {
  double frequency_hz;
  double level_db;
};

class Fitter {
 public:
  explicit Fitter(const ProposalInput& input)
      : input_(input), target_(to_target(input.target_text)), ring_hz_(input.wanted.centre_hz) {
    deepest_db_ = std::max(target_.deepest_db, kDeepestDb);
    for (int step = 1; step * target_.depth_step_db <= -deepest_db_ + 1e-9; ++step) {
      depths_db_.push_back(-step * target_.depth_step_db);
    }
    std::copy_if(target_.centres_hz.begin(),
                 target_.centres_hz.end(),
                 std::back_inserter(centres_hz_),
                 [&](double hz) { return hz < 0.49 * input.sample_rate_hz; });
    now_db_ = level_db(input_.cuts, ring_hz_);
  }

  Proposal run() const {
    if (centres_hz_.empty() || depths_db_.empty()) {
      return refused();
    }
    for (const double share : {1.0, 0.5}) {
      const double need_db = -input_.wanted.depth_db * share;
      auto proposal = target_.kind == cuts::Target::Kind::kGraphic ? deepen_bands(need_db)
                                                                   : change_or_add(need_db);
      if (proposal) {
        return *proposal;
      }
      // A refit that does all that is wanted is better than one cut that does half. A graphic is
      // never full: if its bands together cannot do it, the planner cannot either.
      const bool may_refit = target_.kind == cuts::Target::Kind::kParametric;
      if (const auto refitted = may_refit ? refit(need_db) : std::nullopt) {
        return *refitted;
      }
    }
    return refused();
  }

 private:
  [[nodiscard]] double level_db(std::span<const Band> cuts, double frequency_hz) const {
    return cuts::level_at(cuts::to_setting(cuts), frequency_hz, input_.sample_rate_hz);
  }

  [[nodiscard]] double level_db(const Band& cut, double frequency_hz) const {
    return level_db(std::span(&cut, 1), frequency_hz);
  }

  [[nodiscard]] Proposal refused() const {
    Proposal proposal;
    proposal.cuts = input_.cuts;
    proposal.sentence =
        "no setting of this equaliser helps enough here: turn it down, or move the microphone";
    return proposal;
  }

  [[nodiscard]] Proposal made(Proposal::Kind kind,
                              std::vector<Band> cuts,
                              std::size_t index,
                              std::string sentence) const {
    const double change_db = level_db(cuts, ring_hz_) - now_db_;
    return {kind, std::move(cuts), index, change_db, std::move(sentence)};
  }

  [[nodiscard]] std::optional<Proposal> change_or_add(double need_db) const {
    if (const auto near = near_cut()) {
      // If a place rings again, its own cut is made deeper. It gets no second cut beside it.
      return change(*near, need_db);
    }
    return add(need_db);
  }

  /// The nearest cut that has the ring within its own width, or within the width that the ring asks
  /// for.
  [[nodiscard]] std::optional<std::size_t> near_cut() const {
    std::optional<std::size_t> nearest;
    double nearest_octaves = 0.0;
    for (std::size_t index = 0; index < input_.cuts.size(); ++index) {
      const Band& cut = input_.cuts[index];
      if (cuts::is_high_pass(cut)) {
        continue;
      }
      const double octaves = std::abs(std::log2(cut.centre_hz / ring_hz_));
      const double reach_octaves = 0.5 * cuts::q_to_bandwidth(std::min(cut.q, input_.wanted.q));
      if (octaves <= reach_octaves && (!nearest || octaves < nearest_octaves)) {
        nearest = index;
        nearest_octaves = octaves;
      }
    }
    return nearest;
  }

  /// What a changed cut must still do, without the level of all other cuts.
  [[nodiscard]] std::vector<Demand> demands_on(const Band& was, double need_db) const {
    std::vector<Demand> demands{{ring_hz_, level_db(was, ring_hz_) - need_db},
                                {was.centre_hz, level_db(was, was.centre_hz)}};
    for (const RungPlace& place : input_.rung) {
      if (std::abs(std::log2(place.frequency_hz / was.centre_hz)) < 1.0) {
        demands.push_back({place.frequency_hz, level_db(was, place.frequency_hz)});
      }
    }
    return demands;
  }

  [[nodiscard]] bool meets(const Band& cut, std::span<const Demand> demands) const {
    return std::all_of(demands.begin(), demands.end(), [&](const Demand& demand) {
      return level_db(cut, demand.frequency_hz) <= demand.level_db + kCloseDb;
    });
  }

  /// The least depth on the target's list with which the demands are met.
  [[nodiscard]] std::optional<Band> shallowest(double centre_hz,
                                               double q,
                                               std::span<const Demand> demands) const {
    const auto depth =
        std::partition_point(depths_db_.begin(), depths_db_.end(), [&](double depth_db) {
          return !meets({centre_hz, q, depth_db}, demands);
        });
    if (depth == depths_db_.end()) {
      return std::nullopt;
    }
    return Band{centre_hz, q, *depth};
  }

  /// At one centre: of the Qs that are wide enough, the one with the least area.
  [[nodiscard]] std::optional<Band> least_at(double centre_hz,
                                             double narrowest_q,
                                             std::span<const Demand> demands) const {
    std::optional<Band> best;
    for (const double q : target_.qs) {
      if (q > narrowest_q * 1.001 && q != target_.qs.front()) {
        break;
      }
      const auto cut = shallowest(centre_hz, q, demands);
      if (cut && (!best || area_of(*cut) < area_of(*best))) {
        best = cut;
      }
    }
    return best;
  }

  [[nodiscard]] std::optional<Proposal> change(std::size_t index, double need_db) const {
    const Band& was = input_.cuts[index];
    const auto demands = demands_on(was, need_db);
    const int from = cuts::nearest_index(centres_hz_, std::min(was.centre_hz, ring_hz_));
    const int to = cuts::nearest_index(centres_hz_, std::max(was.centre_hz, ring_hz_));
    std::optional<Band> best;
    for (int centre = from; centre <= to; ++centre) {
      const auto cut = least_at(centres_hz_[static_cast<std::size_t>(centre)], was.q, demands);
      if (cut && (!best || area_of(*cut) < area_of(*best))) {
        best = cut;
      }
    }
    if (!best) {
      return std::nullopt;
    }
    std::vector<Band> cuts = input_.cuts;
    cuts[index] = *best;
    const bool is_moved = best->centre_hz != was.centre_hz;
    const bool is_wider = best->q != was.q;
    const std::string old = cut_words(was, target_.kind);
    if (!is_moved && !is_wider) {
      return made(Proposal::Kind::kDeepens, std::move(cuts), index, "deepens " + old);
    }
    return made(Proposal::Kind::kWidens,
                std::move(cuts),
                index,
                fmt::format("{} {}, for both rings",
                            !is_wider   ? "moves"
                            : !is_moved ? "widens"
                                        : "moves and widens",
                            old));
  }

  [[nodiscard]] std::optional<Proposal> add(double need_db) const {
    const auto used = std::count_if(input_.cuts.begin(), input_.cuts.end(), [](const auto& cut) {
      return !cuts::is_high_pass(cut);
    });
    const auto cut = used < target_.bands ? free_band(need_db) : std::nullopt;
    const auto high_pass = ring_hz_ < kRumbleHz ? free_high_pass(need_db) : std::nullopt;
    if (!cut && !high_pass) {
      return std::nullopt;
    }
    // The high-pass removes all the rumble and leaves a band free, so it may cost a little more.
    const bool takes_high_pass = high_pass && (!cut || lost_db(*high_pass) <= lost_db(*cut) + 0.1);
    std::vector<Band> cuts = input_.cuts;
    cuts.push_back(takes_high_pass ? *high_pass : *cut);
    return made(Proposal::Kind::kAdds,
                cuts,
                cuts.size() - 1,
                takes_high_pass ? "the high-pass" : "a free band");
  }

  [[nodiscard]] double lost_db(const Band& cut) const {
    return cuts::mean_level_lost_db(cuts::to_setting(std::span(&cut, 1)), input_.sample_rate_hz);
  }

  [[nodiscard]] std::optional<Band> free_band(double need_db) const {
    // Not narrower than the ring asks for.
    const auto above =
        std::upper_bound(target_.qs.begin(), target_.qs.end(), input_.wanted.q * 1.001);
    const double q = above == target_.qs.begin() ? *above : *(above - 1);
    const auto centre = static_cast<std::size_t>(cuts::nearest_index(centres_hz_, ring_hz_));
    const Demand demand{ring_hz_, -need_db};
    return shallowest(centres_hz_[centre], q, std::span(&demand, 1));
  }

  [[nodiscard]] std::optional<Band> free_high_pass(double need_db) const {
    if (std::any_of(input_.cuts.begin(), input_.cuts.end(), cuts::is_high_pass)) {
      return std::nullopt;
    }
    const auto corner = std::find_if(
        target_.high_pass_hz.begin(), target_.high_pass_hz.end(), [&](double corner_hz) {
          return level_db(cuts::to_band(cuts::HighPass{corner_hz}), ring_hz_) <=
                 -need_db + kCloseDb;
        });
    if (corner == target_.high_pass_hz.end()) {
      return std::nullopt;
    }
    return cuts::to_band(cuts::HighPass{*corner});
  }

  /// One step after another on the band that does the most at the ring.
  [[nodiscard]] std::optional<Proposal> deepen_bands(double need_db) const {
    std::vector<Band> cuts = input_.cuts;
    std::optional<std::size_t> main;
    while (level_db(cuts, ring_hz_) > now_db_ - need_db + kCloseDb) {
      std::vector<Band> best;
      double best_db = level_db(cuts, ring_hz_) - 0.01;  // less is no help
      for (const double centre_hz : centres_hz_) {
        auto tried = cuts;
        if (!deepen_band(tried, centre_hz, need_db)) {
          continue;
        }
        const double tried_db = level_db(tried, ring_hz_);
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
    main = strongest(cuts);
    const Band& at = cuts[*main];
    const auto was = find_band(input_.cuts, at.centre_hz);
    return made(
        was == input_.cuts.end() ? Proposal::Kind::kAdds : Proposal::Kind::kDeepens,
        cuts,
        *main,
        was == input_.cuts.end() ? "a flat band" : "deepens " + cut_words(*was, target_.kind));
  }

  static std::vector<Band>::const_iterator find_band(const std::vector<Band>& cuts,
                                                     double centre_hz) {
    return std::find_if(cuts.begin(), cuts.end(), [&](const Band& cut) {
      return !cuts::is_high_pass(cut) && std::abs(cut.centre_hz / centre_hz - 1.0) < 0.01;
    });
  }

  /// False when the band is as deep as it may go.
  bool deepen_band(std::vector<Band>& cuts, double centre_hz, double need_db) const {
    const auto before = find_band(input_.cuts, centre_hz);
    const double before_db = before == input_.cuts.end() ? 0.0 : before->depth_db;
    const double least_db = std::max(before_db - need_db - target_.depth_step_db, deepest_db_);
    const auto at = find_band(cuts, centre_hz);
    const double depth_db = (at == cuts.end() ? 0.0 : at->depth_db) - target_.depth_step_db;
    if (depth_db < least_db - 1e-9) {
      return false;
    }
    if (at == cuts.end()) {
      cuts.push_back({centre_hz, target_.qs.front(), depth_db});
    } else {
      cuts[static_cast<std::size_t>(at - cuts.begin())].depth_db = depth_db;
    }
    return true;
  }

  [[nodiscard]] std::size_t strongest(std::span<const Band> cuts) const {
    const auto found =
        std::min_element(cuts.begin(), cuts.end(), [&](const auto& a, const auto& b) {
          return level_db(a, ring_hz_) < level_db(b, ring_hz_);
        });
    return static_cast<std::size_t>(found - cuts.begin());
  }

  /// Wanted cuts of all that rang so far, of cuts that nobody rang for, and last of this ring.
  [[nodiscard]] std::vector<cuts::Cut> all_wanted(double need_db) const {
    std::vector<cuts::Cut> wanted;
    for (const RungPlace& place : input_.rung) {
      wanted.push_back(
          {place.frequency_hz, place.q, std::min(level_db(input_.cuts, place.frequency_hz), -1.0)});
    }
    for (const Band& cut : input_.cuts) {
      const bool is_for_a_ring =
          std::any_of(input_.rung.begin(), input_.rung.end(), [&](const RungPlace& place) {
            return std::abs(std::log2(place.frequency_hz / cut.centre_hz)) <=
                   0.5 * cuts::q_to_bandwidth(cut.q);
          });
      if (!cuts::is_high_pass(cut) && !is_for_a_ring) {
        wanted.push_back({cut.centre_hz, cut.q, cut.depth_db});
      }
    }
    wanted.push_back({ring_hz_, input_.wanted.q, now_db_ - need_db});
    return wanted;
  }

  [[nodiscard]] std::optional<Proposal> refit(double need_db) const {
    cuts::Target shallow = target_;
    shallow.deepest_db = deepest_db_;
    cuts::PlanConfig config;
    config.sample_rate_hz = input_.sample_rate_hz;
    config.most_moves = target_.bands + (target_.high_pass_hz.empty() ? 0 : 1);
    config.work = kRefitWork;
    const cuts::Plan plan = cuts::plan_for_cuts(all_wanted(need_db), shallow, config);
    std::vector<Band> cuts = cuts::to_bands(plan.setting());
    // A high-pass that stood by itself, for what a microphone need not hear, stays.
    for (const Band& cut : input_.cuts) {
      if (cuts::is_high_pass(cut) && std::none_of(cuts.begin(), cuts.end(), cuts::is_high_pass)) {
        cuts.insert(cuts.begin(), cut);
      }
    }
    if (cuts.empty() || level_db(cuts, ring_hz_) > now_db_ - 0.5 * need_db || loses_a_place(cuts)) {
      return std::nullopt;
    }
    const std::size_t index = strongest(cuts);
    return made(
        Proposal::Kind::kRefits, std::move(cuts), index, "no band is free: set anew for all rings");
  }

  /// If a refit halved the cut of an earlier ring, that ring would come back.
  [[nodiscard]] bool loses_a_place(std::span<const Band> cuts) const {
    return std::any_of(input_.rung.begin(), input_.rung.end(), [&](const RungPlace& place) {
      return level_db(cuts, place.frequency_hz) > 0.5 * level_db(input_.cuts, place.frequency_hz);
    });
  }

  const ProposalInput& input_;
  cuts::Target target_;
  double ring_hz_;
  double deepest_db_ = 0.0;
  std::vector<double> depths_db_;   // falling
  std::vector<double> centres_hz_;  // rising
  double now_db_ = 0.0;             // level at the ring
};

}  // namespace

Proposal propose(const ProposalInput& input) {
  return Fitter(input).run();
}

}  // namespace brink::show
