#include "listen/ring_teller.h"

#include <algorithm>
#include <utility>

#include "show/merge_rings.h"
#include "show/ring_measurement.h"

namespace brink::listen {
namespace {

show::EventKind to_kind(detector::RingState state) noexcept {
  switch (state) {
    case detector::RingState::kBuilding:
      return show::EventKind::kBuilding;
    case detector::RingState::kRinging:
      return show::EventKind::kRinging;
    case detector::RingState::kFading:
      return show::EventKind::kFading;
    case detector::RingState::kWithdrawn:
      return show::EventKind::kWithdrawn;
    case detector::RingState::kGone:
      break;
  }
  return show::EventKind::kGone;
}

}  // namespace

detector::Ring& RingTeller::known(const detector::Ring& ring) {
  const auto found = std::find_if(
      sounding_.begin(), sounding_.end(), [&](const auto& other) { return other.id == ring.id; });
  if (found == sounding_.end()) {
    return sounding_.emplace_back(ring);
  }
  *found = merge_ring(*found, ring);
  return *found;
}

show::SessionEvent RingTeller::tell(const taps::TapRingEvent& event) {
  detector::Ring& ring = known(event.ring);
  show::SessionEvent out;
  out.kind = to_kind(event.ring.state);
  out.stream_s = static_cast<double>(event.sample) / sample_rate_hz_;
  out.tap = event.channel;
  out.heard_tap = event.heard_channel;
  out.sample_rate_hz = sample_rate_hz_;
  const bool is_end = show::ends_ring(out.kind);
  out.ring = is_end ? ring : event.ring;
  out.shares = event.shares;
  if (show::was_certain(ring) && out.kind != show::EventKind::kWithdrawn) {
    const auto measure = is_end ? show::to_final_measurement : show::to_measurement;
    out.cut = cuts::propose_cut(measure(ring, sample_rate_hz_, event.sample));
  }
  if (is_end) {
    std::swap(ring, sounding_.back());
    sounding_.pop_back();
  }
  return out;
}

}  // namespace brink::listen
