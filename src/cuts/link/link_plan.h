#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/link/link_bands.h"

namespace brink::cuts {

/// What becomes of one cut. Both at once: it is moved or deepened.
struct LinkChange {
  std::optional<Band> was;
  std::optional<Band> now;

  friend bool operator==(const LinkChange&, const LinkChange&) = default;
};

/// The changes from one list of bands to another; a cut that is near one that was there is a change
/// of it.
[[nodiscard]] std::vector<LinkChange> link_changes(std::span<const Band> before,
                                                   std::span<const Band> after);

/// A number that a part of a band is to be brought to.
struct LinkGoal {
  LinkPart part;
  double number = 0.0;
};

/// How a change comes about on the console.
struct LinkPlan {
  std::optional<std::size_t> band;  ///< of the console, where one is meant
  std::vector<LinkGoal> goals;      ///< in this order; empty: nothing is to be sent
  std::string by_hand;  ///< why brink does not send it, the end of a sentence; empty: it does, or
                        ///< the console stands there already
};

/// Sends nothing that raises the response by more than kMostRiseDb (highest_rise()); such a change,
/// and one on bands that are not known, is made by hand.
[[nodiscard]] LinkPlan plan_change(const LinkBands& bands, const LinkChange& change);

/// The band of the console that stands at this cut.
[[nodiscard]] std::optional<std::size_t> find_band(const LinkBands& bands, const Cut& cut);

/// Steps of a level that is turned down: 20 dB in a second.
inline constexpr double kMostStepDb = 1.0;
inline constexpr double kStepPauseS = 0.05;

/// The number to send next on the way to `goal`: the farthest that lowers the response by no more
/// than kMostStepDb anywhere and raises it by no more than kMostRiseDb, over what is there now and
/// over `start`, the bands as they were before the change. Nothing when not even the next number
/// does that.
[[nodiscard]] std::optional<double> next_number(const LinkBands& bands,
                                                std::span<const Cut> start,
                                                const LinkGoal& goal);

}  // namespace brink::cuts
