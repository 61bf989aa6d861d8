#include "desk/live_rings.h"

#include <algorithm>
#include <utility>

#include "cuts/propose.h"
#include "show/cut_record.h"
#include "show/merge_rings.h"
#include "show/ring_measurement.h"
#include "show/ring_out.h"

namespace brink::desk {
namespace {

/// What needs a hand first stands first.
int rank(detector::RingState state) noexcept {
  switch (state) {
    case detector::RingState::kRinging:
      return 0;
    case detector::RingState::kBuilding:
      return 1;
    case detector::RingState::kFading:
      return 2;
    case detector::RingState::kGone:
    case detector::RingState::kWithdrawn:
      break;
  }
  return 3;
}

}  // namespace

void LiveRings::set_target(cuts::Target target) {
  target_ = std::move(target);
  for (BoardRow& row : rows_) {
    fit(row);
  }
}

void LiveRings::set_equaliser(const cuts::Setting& equaliser) {
  std::vector<show::CutRecord> cuts = show::to_records(equaliser);
  if (cuts != cuts_) {
    cuts_ = std::move(cuts);
    for (BoardRow& row : rows_) {
      fit(row);
    }
  }
}

void LiveRings::fit(BoardRow& row) const {
  row.proposal.reset();
  if (!show::was_certain(row.ring)) {
    return;  // it may be music
  }
  show::ProposalInput input;
  input.target_text = target_.source_text;
  input.cuts = cuts_;
  input.sample_rate_hz = row.sample_rate_hz;
  input.wanted = cuts::propose_cut(
      show::to_measurement(row.caught, row.sample_rate_hz, row.caught.onset_sample),
      show::ringing_out_propose());
  row.proposal = show::propose(input);
}

void LiveRings::sort() {
  std::stable_sort(rows_.begin(), rows_.end(), [](const BoardRow& a, const BoardRow& b) {
    return rank(a.ring.state) < rank(b.ring.state);
  });
}

void LiveRings::take(const show::SessionEvent& event) {
  if (!show::is_of_ring(event.kind)) {
    return;
  }
  const auto is_same = [&](const BoardRow& row) {
    return row.tap == event.tap && row.ring.id == event.ring.id;
  };
  auto row = std::find_if(rows_.begin(), rows_.end(), is_same);
  const bool is_new = row == rows_.end();
  if (is_new) {
    row = rows_.insert(rows_.begin(), BoardRow{});
  }
  row->tap = event.tap;
  const detector::RingState now =
      event.kind == show::EventKind::kGone ? detector::RingState::kGone : event.ring.state;
  row->caught = is_new ? event.ring : detector::merge_ring(row->caught, event.ring);
  row->caught.level_dbfs = event.ring.level_dbfs;
  row->caught.state = now;
  row->ring = row->caught;
  row->ring.growth_db_per_s = event.ring.growth_db_per_s;
  row->sample_rate_hz = event.sample_rate_hz;
  row->changed_s = event.stream_s;
  if (show::ends_ring(event.kind) && !show::was_certain(row->ring)) {
    rows_.erase(row);  // a suspicion that came to nothing
    return;
  }
  // A cut follows from how it grew; what it does afterwards is the cut's own work.
  if (is_new || event.kind == show::EventKind::kBuilding ||
      event.kind == show::EventKind::kRinging) {
    fit(*row);
  }
  sort();
}

void LiveRings::follow(const listen::Snapshot& snapshot, double sample_rate_hz) {
  const double now_s = static_cast<double>(snapshot.samples) / sample_rate_hz;
  std::erase_if(rows_, [&](const BoardRow& row) {
    return detector::is_over(row.ring.state) && now_s - row.changed_s > kKeptS;
  });
  for (BoardRow& row : rows_) {
    const auto tap = std::find_if(snapshot.taps.begin(), snapshot.taps.end(), [&](const auto& one) {
      return one.tap == row.tap;
    });
    if (tap == snapshot.taps.end()) {
      continue;
    }
    for (const detector::TrackView& track : tap->tracks) {
      if (track.ring_id == row.ring.id && !detector::is_over(row.ring.state)) {
        row.ring.growth_db_per_s = track.growth_db_per_s;
        row.ring.level_dbfs = track.level_dbfs;
      }
    }
  }
}

}  // namespace brink::desk
