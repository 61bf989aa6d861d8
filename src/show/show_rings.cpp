#include "show/show_rings.h"

#include <algorithm>
#include <cmath>

#include "base/time_of_day.h"
#include "show/merge_rings.h"

namespace brink::show {

using detector::RingState;

bool is_same_place(double a_hz, double b_hz) noexcept {
  constexpr double kToleranceRatio = 0.005;
  constexpr double kToleranceHz = 1.0;
  return std::abs(a_hz - b_hz) <= std::max(kToleranceHz, kToleranceRatio * std::min(a_hz, b_hz));
}

HeardRing& ShowRings::entry_of(const SessionEvent& event, const Moment& moment) {
  const auto found = std::find_if(rings_.begin(), rings_.end(), [&](const HeardRing& heard) {
    return heard.is_sounding() && heard.tap == event.tap && heard.ring.id == event.ring.id;
  });
  if (found != rings_.end()) {
    return *found;
  }
  HeardRing& heard = rings_.emplace_back();
  heard.id = ++last_id_;
  heard.tap = event.tap;
  heard.ring = event.ring;
  heard.ring.state = RingState::kBuilding;
  heard.sample_rate_hz = event.sample_rate_hz;
  heard.flagged_at = base::wall_text(event.wall);
  heard.rang_at_db = moment.fader_db;
  heard.caught_tick = moment.tick;
  heard.output = moment.output;
  return heard;
}

ShowRings::Change ShowRings::take(const SessionEvent& event, const Moment& moment) {
  HeardRing& heard = entry_of(event, moment);
  Change change{heard.id, heard.ring.state, false};
  const RingState now = event.kind == EventKind::kGone ? RingState::kGone : event.ring.state;
  if (now == RingState::kRinging && !heard.is_certain) {
    heard.is_certain = true;
    heard.flagged_at = base::wall_text(event.wall);
    heard.rang_at_db = moment.fader_db;
    heard.caught_tick = moment.tick;
    heard.output = moment.output;
    change.has_become_certain = true;
  }
  heard.ring = merge_ring(heard.ring, event.ring);
  heard.ring.level_dbfs = event.ring.level_dbfs;
  heard.ring.state = now;
  if (detector::is_over(now)) {
    forget();
  }
  return change;
}

void ShowRings::disown(std::size_t output) noexcept {
  for (HeardRing& heard : rings_) {
    heard.output = heard.output == output ? HeardRing::kNoOutput : heard.output;
  }
}

void ShowRings::end_all() {
  for (HeardRing& heard : rings_) {
    heard.ring.state = RingState::kGone;
  }
  forget();
}

const HeardRing* ShowRings::find(std::uint64_t id) const noexcept {
  const auto found = std::find_if(
      rings_.begin(), rings_.end(), [&](const HeardRing& heard) { return heard.id == id; });
  return found == rings_.end() ? nullptr : &*found;
}

void ShowRings::forget() {
  std::erase_if(rings_,
                [](const HeardRing& heard) { return !heard.is_sounding() && !heard.is_certain; });
  const auto is_over = [](const HeardRing& heard) { return !heard.is_sounding(); };
  auto over = static_cast<std::size_t>(std::count_if(rings_.begin(), rings_.end(), is_over));
  for (; over > kMostOver; --over) {
    rings_.erase(std::find_if(rings_.begin(), rings_.end(), is_over));
  }
}

}  // namespace brink::show
