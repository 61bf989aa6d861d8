#include "show/live_rings.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "show/merge_rings.h"

namespace brink::show {
namespace {

using detector::RingState;

int rank(RingState state) noexcept {
  switch (state) {
    case RingState::kRinging:
      return 0;
    case RingState::kBuilding:
      return 1;
    case RingState::kFading:
      return 2;
    case RingState::kGone:
    case RingState::kWithdrawn:
      break;
  }
  return 3;
}

}  // namespace

bool is_same_place(double a_hz, double b_hz) noexcept {
  constexpr double kToleranceRatio = 0.005;
  constexpr double kToleranceHz = 1.0;
  return std::abs(a_hz - b_hz) <= std::max(kToleranceHz, kToleranceRatio * std::min(a_hz, b_hz));
}

detector::Ring LiveRing::now() const noexcept {
  detector::Ring now = ring;
  if (is_sounding()) {
    now.growth_db_per_s = growth_now_db_per_s;
    now.level_dbfs = level_now_dbfs;
  }
  return now;
}

const LiveRing* LiveRings::find_number(std::uint32_t ring_id) const noexcept {
  const auto found = std::find_if(rings_.begin(), rings_.end(), [&](const LiveRing& live) {
    return live.session == session_ && live.ring.id == ring_id;
  });
  return found == rings_.end() ? nullptr : &*found;
}

LiveRing& LiveRings::entry_of(const SessionEvent& event) {
  if (const LiveRing* known = find_number(event.ring.id)) {
    return rings_[static_cast<std::size_t>(known - rings_.data())];
  }
  LiveRing& live = rings_.emplace_back();
  live.id = ++last_id_;
  live.session = session_;
  live.ring = event.ring;
  live.ring.state = RingState::kBuilding;
  live.sample_rate_hz = event.sample_rate_hz;
  return live;
}

LiveRings::Change LiveRings::take(const SessionEvent& event) {
  LiveRing& live = entry_of(event);
  const Change change{live.id, live.ring.state};
  const RingState now = event.kind == EventKind::kGone ? RingState::kGone : event.ring.state;
  live.is_certain = live.is_certain || now == RingState::kRinging || was_certain(event.ring);
  live.ring = merge_ring(live.ring, event.ring);
  live.ring.level_dbfs = event.ring.level_dbfs;
  live.ring.state = now;
  live.tap = event.tap;
  live.heard_tap = event.heard_tap == SessionEvent::kAllTaps ? event.tap : event.heard_tap;
  live.shares = event.shares;
  live.changed_s = event.stream_s;
  live.growth_now_db_per_s = event.ring.growth_db_per_s;
  live.level_now_dbfs = event.ring.level_dbfs;
  if (event.sound && event.sound->one_second_db > base::kSilenceDb) {
    live.laeq_1s_db =
        std::max(live.laeq_1s_db.value_or(base::kSilenceDb), event.sound->one_second_db);
  }
  if (detector::is_over(now)) {
    forget();
  }
  return change;
}

void LiveRings::follow(int tap, std::span<const detector::TrackView> tracks) noexcept {
  for (LiveRing& live : rings_) {
    if (live.session != session_ || live.heard_tap != tap || !live.is_sounding()) {
      continue;
    }
    for (const detector::TrackView& track : tracks) {
      if (track.ring_id == live.ring.id) {
        live.growth_now_db_per_s = track.growth_db_per_s;
        live.level_now_dbfs = track.level_dbfs;
      }
    }
  }
}

void LiveRings::end_all() {
  for (LiveRing& live : rings_) {
    live.ring.state = RingState::kGone;
  }
  forget();
}

void LiveRings::begin_session() {
  end_all();
  ++session_;
}

std::vector<const LiveRing*> LiveRings::shown(double stream_s) const {
  std::vector<const LiveRing*> shown;
  for (auto live = rings_.rbegin(); live != rings_.rend(); ++live) {
    const bool is_of_now = live->is_sounding() || stream_s - live->changed_s <= kShownS;
    if (live->session == session_ && is_of_now) {
      shown.push_back(&*live);
    }
  }
  std::stable_sort(shown.begin(), shown.end(), [](const LiveRing* a, const LiveRing* b) {
    const int rank_a = rank(a->ring.state);
    const int rank_b = rank(b->ring.state);
    const bool ring_both = rank_a == 0 && rank_b == 0;
    return ring_both ? a->ring.flagged_sample < b->ring.flagged_sample : rank_a < rank_b;
  });
  return shown;
}

const LiveRing* LiveRings::find(std::uint64_t id) const noexcept {
  const auto found = std::find_if(
      rings_.begin(), rings_.end(), [&](const LiveRing& live) { return live.id == id; });
  return found == rings_.end() ? nullptr : &*found;
}

void LiveRings::forget() {
  std::erase_if(rings_,
                [](const LiveRing& live) { return !live.is_sounding() && !live.is_certain; });
  const auto is_over = [](const LiveRing& live) { return !live.is_sounding(); };
  auto over = static_cast<std::size_t>(std::count_if(rings_.begin(), rings_.end(), is_over));
  for (; over > kMostOver; --over) {
    rings_.erase(std::find_if(rings_.begin(), rings_.end(), is_over));
  }
}

}  // namespace brink::show
