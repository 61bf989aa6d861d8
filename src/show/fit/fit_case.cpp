#include "show/fit/fit_case.h"

#include <algorithm>
#include <iterator>
#include <utility>

#include "cuts/appraise.h"
#include "show/kept_target.h"

namespace brink::show {
namespace {

/// Beyond this, cutting is the wrong remedy (cuts::ProposeConfig).
constexpr double kDeepestDb = -12.0;

}  // namespace

FitCase::FitCase(const ProposalInput& proposal_input)
    : input(proposal_input),
      target(to_target(input.target_text)),
      ring_hz(input.wanted.centre_hz),
      deepest_db(std::max(target.deepest_db, kDeepestDb)) {
  for (int step = 1; step * target.depth_step_db <= -deepest_db + 1e-9; ++step) {
    depths_db.push_back(-step * target.depth_step_db);
  }
  std::copy_if(target.centres_hz.begin(),
               target.centres_hz.end(),
               std::back_inserter(centres_hz),
               [&](double hz) { return hz < 0.49 * input.sample_rate_hz; });
  now_db = level_db(input.cuts, ring_hz);
}

double FitCase::level_db(std::span<const cuts::Band> cuts, double frequency_hz) const {
  return cuts::level_at(cuts::to_setting(cuts), frequency_hz, input.sample_rate_hz);
}

std::size_t FitCase::strongest(std::span<const cuts::Band> cuts) const {
  const auto found = std::min_element(cuts.begin(), cuts.end(), [&](const auto& a, const auto& b) {
    return level_db(a, ring_hz) < level_db(b, ring_hz);
  });
  return static_cast<std::size_t>(found - cuts.begin());
}

Proposal FitCase::made(Proposal::Kind kind,
                       std::vector<cuts::Band> cuts,
                       std::size_t index,
                       std::string sentence) const {
  const double change_db = level_db(cuts, ring_hz) - now_db;
  return {kind, std::move(cuts), index, change_db, std::move(sentence)};
}

Proposal FitCase::refused() const {
  Proposal proposal;
  proposal.cuts = input.cuts;
  proposal.sentence =
      "no setting of this equaliser helps enough here: turn it down, or move the microphone";
  return proposal;
}

}  // namespace brink::show
