#pragma once

#include <cstdint>
#include <map>

#include "cuts/setting.h"
#include "cuts/target.h"
#include "show/cut_proposal.h"
#include "show/live_rings.h"

namespace brink::desk {

/// What is proposed for the live rings while no output is rung out: as ringing out proposes it
/// (propose() tells how long that takes), for the equaliser as it stands. Where an output is rung
/// out, its show proposes instead. [one face thread]
class ListenProposals {
 public:
  /// Once a pass. `target` with its source_text, as load_target() gives it. Proposes where
  /// something was changed that a proposal depends on. What a ring does after it grew changes
  /// nothing: a cut follows from its growth, and the rest is the cut's own work.
  void follow(const show::LiveRings& rings,
              const cuts::Target& target,
              const cuts::Setting& equaliser);

  /// Of a ring that is certain, by LiveRing::id; nullptr for one that may be music.
  [[nodiscard]] const show::Proposal* find(std::uint64_t ring) const noexcept;

 private:
  struct Kept {
    show::ProposalInput input;
    show::Proposal proposal;
  };

  std::map<std::uint64_t, Kept> kept_;
};

}  // namespace brink::desk
