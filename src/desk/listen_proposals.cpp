#include "desk/listen_proposals.h"

#include "cuts/band.h"
#include "cuts/propose.h"
#include "show/ring_measurement.h"
#include "show/ring_out/ring_out.h"

namespace brink::desk {

void ListenProposals::follow(const show::LiveRings& rings,
                             const cuts::Target& target,
                             const cuts::Setting& equaliser) {
  std::erase_if(kept_, [&](const auto& kept) { return rings.find(kept.first) == nullptr; });
  const std::vector<cuts::Band> cuts = cuts::to_bands(equaliser);
  for (const show::LiveRing& live : rings.all()) {
    if (!live.is_certain) {
      continue;
    }
    const auto kept = kept_.find(live.id);
    const bool is_for_these = kept != kept_.end() && kept->second.input.cuts == cuts &&
                              kept->second.input.target_text == target.source_text;
    if (is_for_these && live.ring.state != detector::RingState::kRinging) {
      continue;
    }
    show::ProposalInput input;
    input.target_text = target.source_text;
    input.cuts = cuts;
    input.sample_rate_hz = live.sample_rate_hz;
    input.wanted = cuts::propose_cut(
        show::to_measurement(live.ring, live.sample_rate_hz, live.ring.onset_sample),
        show::ringing_out_propose());
    if (!is_for_these || kept->second.input != input) {
      kept_[live.id] = {input, show::propose(input)};
    }
  }
}

const show::Proposal* ListenProposals::find(std::uint64_t ring) const noexcept {
  const auto kept = kept_.find(ring);
  return kept == kept_.end() ? nullptr : &kept->second.proposal;
}

}  // namespace brink::desk
