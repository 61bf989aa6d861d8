#include "show/cut_proposal.h"

#include <optional>

#include "show/fit/fit_case.h"

namespace brink::show {

Proposal propose(const ProposalInput& input) {
  const FitCase fit(input);
  if (!fit.can_cut()) {
    return fit.refused();
  }
  for (const double share : {1.0, 0.5}) {
    const double need_db = -input.wanted.depth_db * share;
    auto proposal = fit.target.kind == cuts::Target::Kind::kGraphic ? fit_graphic(fit, need_db)
                                                                    : fit_one_cut(fit, need_db);
    if (proposal) {
      return *proposal;
    }
    // A refit that does all that is wanted is better than one cut that does half. A graphic is
    // never full: if its bands together cannot do it, the planner cannot either.
    const bool may_refit = fit.target.kind == cuts::Target::Kind::kParametric;
    if (const auto refitted = may_refit ? fit_all_anew(fit, need_db) : std::nullopt) {
      return *refitted;
    }
  }
  return fit.refused();
}

}  // namespace brink::show
