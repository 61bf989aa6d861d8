#pragma once

#include <functional>
#include <string>
#include <vector>

#include "desk/lit_ring.h"
#include "panel/pane.h"
#include "report/page/page_state.h"

namespace brink::panel {

/// Something that a reader of the page may do in the round: what the window's key does, by the same
/// call, with the same undo.
struct PageAct {
  report::PageKey key;
  std::function<bool(show::RingOut&)> act;
  std::string done;  ///< what it says afterwards
};

/// What may be done now: log the first cut that is fitted, say that the last round came back, undo.
/// The names hold what the reader saw, so that a press for something else finds no such key.
[[nodiscard]] std::vector<PageAct> page_acts(const show::RingOut& flow,
                                             const std::vector<show::OfferedRing>& offered);

/// What the page shows of the window, without keys and answer.
[[nodiscard]] report::PageView page_view(const Context& context,
                                         const std::vector<show::OfferedRing>& offered);

}  // namespace brink::panel
