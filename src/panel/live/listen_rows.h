#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "desk/desk.h"
#include "show/ring_out/ring_out.h"

namespace brink::panel {

/// A live ring as the Listen pane lists it.
struct ListenRow {
  std::uint64_t id = 0;  ///< LiveRing::id
  int tap = 0;
  taps::RingShares shares;
  detector::Ring ring;  ///< as it is now
  std::optional<show::Proposal> proposal;
  bool is_offered = false;  ///< an output is rung out, and this ring waits for its cut
};

/// The live rings, what needs a hand first stands first. Where an output is rung out, its show says
/// what is proposed: the same in every pane.
[[nodiscard]] std::vector<ListenRow> list_rows(const desk::Desk& desk, const show::RingOut& flow);

}  // namespace brink::panel
