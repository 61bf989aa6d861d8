#include "panel/live/listen_rows.h"

#include <algorithm>

namespace brink::panel {

std::vector<ListenRow> list_rows(const desk::Desk& desk, const show::RingOut& flow) {
  std::vector<ListenRow> rows;
  for (const show::LiveRing* live : flow.rings().shown(desk.stream_s())) {
    ListenRow& row = rows.emplace_back();
    row.id = live->id;
    row.tap = live->tap;
    row.shares = live->shares;
    row.ring = live->now();
    const show::Proposal* proposal = desk.listen_proposals().find(live->id);
    if (proposal != nullptr && flow.output() == nullptr) {
      row.proposal = *proposal;
    }
  }
  if (flow.output() == nullptr) {
    return rows;
  }
  for (const show::OfferedRing& offer : flow.offered()) {
    const auto row = std::find_if(
        rows.begin(), rows.end(), [&](const ListenRow& one) { return one.id == offer.id; });
    if (row != rows.end()) {
      row->is_offered = true;
      row->proposal = offer.is_certain ? offer.proposal : std::nullopt;
    }
  }
  return rows;
}

}  // namespace brink::panel
