#include "desk/live_rings.h"

#include <algorithm>
#include <utility>

#include "cuts/fit.h"
#include "cuts/propose.h"
#include "show/ring_measurement.h"

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
      break;
  }
  return 3;
}

bool was_certain(const detector::Ring& ring) noexcept {
  return ring.flagged_sample != detector::kNever;
}

}  // namespace

void LiveRings::set_target(cuts::Target target) {
  target_ = std::move(target);
  for (BoardRow& row : rows_) {
    fit(row);
  }
}

void LiveRings::fit(BoardRow& row) const {
  const auto end_sample = static_cast<std::int64_t>(row.changed_s * row.sample_rate_hz);
  const cuts::Cut wanted =
      cuts::propose_cut(show::to_measurement(row.caught, row.sample_rate_hz, end_sample));
  row.cuts = cuts::fit_cut(wanted, target_, row.sample_rate_hz);
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
  row->ring = event.ring;
  row->sample_rate_hz = event.sample_rate_hz;
  row->changed_s = event.stream_s;
  if (event.kind == show::EventKind::kGone) {
    row->ring.state = detector::RingState::kGone;
  }
  if (event.kind == show::EventKind::kGone && !was_certain(row->ring)) {
    rows_.erase(row);  // a suspicion that came to nothing
    return;
  }
  // A cut follows from how it grew; what it does afterwards is the cut's own work.
  if (is_new || event.kind == show::EventKind::kBuilding ||
      event.kind == show::EventKind::kRinging) {
    row->caught = event.ring;
    fit(*row);
  }
  sort();
}

void LiveRings::follow(const listen::Snapshot& snapshot, double sample_rate_hz) {
  const double now_s = static_cast<double>(snapshot.samples) / sample_rate_hz;
  std::erase_if(rows_, [&](const BoardRow& row) {
    return row.ring.state == detector::RingState::kGone && now_s - row.changed_s > kKeptS;
  });
  for (BoardRow& row : rows_) {
    const auto tap = std::find_if(snapshot.taps.begin(), snapshot.taps.end(), [&](const auto& one) {
      return one.tap == row.tap;
    });
    if (tap == snapshot.taps.end()) {
      continue;
    }
    for (const detector::TrackView& track : tap->tracks) {
      if (track.ring_id == row.ring.id && row.ring.state != detector::RingState::kGone) {
        row.ring.growth_db_per_s = track.growth_db_per_s;
        row.ring.level_dbfs = track.level_dbfs;
        row.ring.frequency_hz = track.frequency_hz;
      }
    }
  }
}

}  // namespace brink::desk
