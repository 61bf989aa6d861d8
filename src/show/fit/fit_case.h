#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/cut.h"
#include "cuts/target.h"
#include "show/cut_proposal.h"

namespace brink::show {

/// Levels nearer than this are one: half a usual step of depth, and far less than a ring tells of
/// its own excess. Without it, a centre half a step beside the ring would cost a step of depth.
inline constexpr double kCloseDb = 0.25;

/// One ring that meets an equaliser: what a proposal starts from, and the levels that it compares.
/// `input` must outlive it. Throws base::Error when the target's text is no target. [any]
struct FitCase {
  explicit FitCase(const ProposalInput& proposal_input);

  [[nodiscard]] bool can_cut() const noexcept { return !centres_hz.empty() && !depths_db.empty(); }

  /// Of the equaliser with these cuts in it, at one frequency.
  [[nodiscard]] double level_db(std::span<const cuts::Band> cuts, double frequency_hz) const;

  [[nodiscard]] double level_db(const cuts::Band& cut, double frequency_hz) const {
    return level_db(std::span(&cut, 1), frequency_hz);
  }

  /// Index of the cut that does the most at the ring; not for an empty list.
  [[nodiscard]] std::size_t strongest(std::span<const cuts::Band> cuts) const;

  [[nodiscard]] Proposal made(Proposal::Kind kind,
                              std::vector<cuts::Band> cuts,
                              std::size_t index,
                              std::string sentence) const;
  [[nodiscard]] Proposal refused() const;

  const ProposalInput& input;
  cuts::Target target;
  double ring_hz;
  double deepest_db;               ///< of any one cut
  std::vector<double> depths_db;   ///< the target's, falling
  std::vector<double> centres_hz;  ///< the target's, rising
  double now_db = 0.0;             ///< level at the ring
};

/// The ways to lower a ring by `need_db`. Nothing where a way does not lead there.

/// One cut that is there is made deeper, wider or moved, or a free band is taken.
[[nodiscard]] std::optional<Proposal> fit_one_cut(const FitCase& fit, double need_db);
/// The bands of a graphic, one step after another on the one that does the most at the ring.
[[nodiscard]] std::optional<Proposal> fit_graphic(const FitCase& fit, double need_db);
/// All bands anew, for all rings so far.
[[nodiscard]] std::optional<Proposal> fit_all_anew(const FitCase& fit, double need_db);

}  // namespace brink::show
