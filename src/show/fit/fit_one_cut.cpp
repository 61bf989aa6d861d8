#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "cuts/filters.h"
#include "show/cut_words.h"
#include "show/fit/fit_case.h"

namespace brink::show {
namespace {

using cuts::Band;

/// A ring below this is rumble. A high-pass is used there if it costs no more than the cut.
constexpr double kRumbleHz = 120.0;

double area_of(const Band& cut) noexcept {
  return -cut.depth_db * cuts::q_to_bandwidth(cut.q);
}

/// Level wanted at one frequency or lower.
struct Demand {
  double frequency_hz;
  double level_db;
};

class OneCut {
 public:
  explicit OneCut(const FitCase& fit) : fit_(fit) {}

  [[nodiscard]] std::optional<Proposal> change_or_add(double need_db) const {
    if (const auto near = near_cut()) {
      // If a place rings again, its own cut is made deeper. It gets no second cut beside it.
      return change(*near, need_db);
    }
    return add(need_db);
  }

 private:
  /// The nearest cut that has the ring within its own width, or within the width that the ring asks
  /// for.
  [[nodiscard]] std::optional<std::size_t> near_cut() const {
    std::optional<std::size_t> nearest;
    double nearest_octaves = 0.0;
    for (std::size_t index = 0; index < fit_.input.cuts.size(); ++index) {
      const Band& cut = fit_.input.cuts[index];
      if (cuts::is_high_pass(cut)) {
        continue;
      }
      const double octaves = std::abs(std::log2(cut.centre_hz / fit_.ring_hz));
      const double reach_octaves = 0.5 * cuts::q_to_bandwidth(std::min(cut.q, fit_.input.wanted.q));
      if (octaves <= reach_octaves && (!nearest || octaves < nearest_octaves)) {
        nearest = index;
        nearest_octaves = octaves;
      }
    }
    return nearest;
  }

  /// What a changed cut must still do, without the level of all other cuts.
  [[nodiscard]] std::vector<Demand> demands_on(const Band& was, double need_db) const {
    std::vector<Demand> demands{{fit_.ring_hz, fit_.level_db(was, fit_.ring_hz) - need_db},
                                {was.centre_hz, fit_.level_db(was, was.centre_hz)}};
    for (const RungPlace& place : fit_.input.rung) {
      if (std::abs(std::log2(place.frequency_hz / was.centre_hz)) < 1.0) {
        demands.push_back({place.frequency_hz, fit_.level_db(was, place.frequency_hz)});
      }
    }
    return demands;
  }

  [[nodiscard]] bool meets(const Band& cut, std::span<const Demand> demands) const {
    return std::all_of(demands.begin(), demands.end(), [&](const Demand& demand) {
      return fit_.level_db(cut, demand.frequency_hz) <= demand.level_db + kCloseDb;
    });
  }

  /// The least depth on the target's list with which the demands are met.
  [[nodiscard]] std::optional<Band> shallowest(double centre_hz,
                                               double q,
                                               std::span<const Demand> demands) const {
    const auto depth =
        std::partition_point(fit_.depths_db.begin(), fit_.depths_db.end(), [&](double depth_db) {
          return !meets({centre_hz, q, depth_db}, demands);
        });
    if (depth == fit_.depths_db.end()) {
      return std::nullopt;
    }
    return Band{centre_hz, q, *depth};
  }

  /// At one centre: of the Qs that are wide enough, the one with the least area.
  [[nodiscard]] std::optional<Band> least_at(double centre_hz,
                                             double narrowest_q,
                                             std::span<const Demand> demands) const {
    std::optional<Band> best;
    for (const double q : fit_.target.qs) {
      if (q > narrowest_q * 1.001 && q != fit_.target.qs.front()) {
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
    const Band& was = fit_.input.cuts[index];
    const auto demands = demands_on(was, need_db);
    const int from = cuts::nearest_index(fit_.centres_hz, std::min(was.centre_hz, fit_.ring_hz));
    const int to = cuts::nearest_index(fit_.centres_hz, std::max(was.centre_hz, fit_.ring_hz));
    std::optional<Band> best;
    for (int centre = from; centre <= to; ++centre) {
      const auto cut = least_at(fit_.centres_hz[static_cast<std::size_t>(centre)], was.q, demands);
      if (cut && (!best || area_of(*cut) < area_of(*best))) {
        best = cut;
      }
    }
    if (!best) {
      return std::nullopt;
    }
    std::vector<Band> cuts = fit_.input.cuts;
    cuts[index] = *best;
    const bool is_moved = best->centre_hz != was.centre_hz;
    const bool is_wider = best->q != was.q;
    const std::string old = cut_words(was, fit_.target.kind);
    if (!is_moved && !is_wider) {
      return fit_.made(Proposal::Kind::kDeepens, std::move(cuts), index, "deepens " + old);
    }
    return fit_.made(Proposal::Kind::kWidens,
                     std::move(cuts),
                     index,
                     fmt::format("{} {}, for both rings",
                                 !is_wider   ? "moves"
                                 : !is_moved ? "widens"
                                             : "moves and widens",
                                 old));
  }

  [[nodiscard]] std::optional<Proposal> add(double need_db) const {
    const auto used = std::count_if(fit_.input.cuts.begin(),
                                    fit_.input.cuts.end(),
                                    [](const auto& cut) { return !cuts::is_high_pass(cut); });
    const auto cut = used < fit_.target.bands ? free_band(need_db) : std::nullopt;
    const auto high_pass = fit_.ring_hz < kRumbleHz ? free_high_pass(need_db) : std::nullopt;
    if (!cut && !high_pass) {
      return std::nullopt;
    }
    // The high-pass removes all the rumble and leaves a band free, so it may cost a little more.
    const bool takes_high_pass = high_pass && (!cut || lost_db(*high_pass) <= lost_db(*cut) + 0.1);
    std::vector<Band> cuts = fit_.input.cuts;
    cuts.push_back(takes_high_pass ? *high_pass : *cut);
    return fit_.made(Proposal::Kind::kAdds,
                     cuts,
                     cuts.size() - 1,
                     takes_high_pass ? "the high-pass" : "a free band");
  }

  [[nodiscard]] double lost_db(const Band& cut) const {
    return cuts::mean_level_lost_db(cuts::to_setting(std::span(&cut, 1)),
                                    fit_.input.sample_rate_hz);
  }

  [[nodiscard]] std::optional<Band> free_band(double need_db) const {
    // Not narrower than the ring asks for.
    const auto above =
        std::upper_bound(fit_.target.qs.begin(), fit_.target.qs.end(), fit_.input.wanted.q * 1.001);
    const double q = above == fit_.target.qs.begin() ? *above : *(above - 1);
    const auto centre =
        static_cast<std::size_t>(cuts::nearest_index(fit_.centres_hz, fit_.ring_hz));
    const Demand demand{fit_.ring_hz, -need_db};
    return shallowest(fit_.centres_hz[centre], q, std::span(&demand, 1));
  }

  [[nodiscard]] std::optional<Band> free_high_pass(double need_db) const {
    if (std::any_of(fit_.input.cuts.begin(), fit_.input.cuts.end(), cuts::is_high_pass)) {
      return std::nullopt;
    }
    const auto corner = std::find_if(
        fit_.target.high_pass_hz.begin(), fit_.target.high_pass_hz.end(), [&](double corner_hz) {
          return fit_.level_db(cuts::to_band(cuts::HighPass{corner_hz}), fit_.ring_hz) <=
                 -need_db + kCloseDb;
        });
    if (corner == fit_.target.high_pass_hz.end()) {
      return std::nullopt;
    }
    return cuts::to_band(cuts::HighPass{*corner});
  }

  const FitCase& fit_;
};

}  // namespace

std::optional<Proposal> fit_one_cut(const FitCase& fit, double need_db) {
  return OneCut(fit).change_or_add(need_db);
}

}  // namespace brink::show
