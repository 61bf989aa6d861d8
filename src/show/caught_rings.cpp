#include "show/caught_rings.h"

#include "base/time_of_day.h"

namespace brink::show {

bool CaughtRings::take(std::uint64_t ring, const SessionEvent& event, const Moment& moment) {
  const auto [at, is_new] = catches_.try_emplace(ring);
  Catch& caught = at->second;
  const bool becomes_certain = event.kind != EventKind::kGone &&
                               event.ring.state == detector::RingState::kRinging &&
                               !caught.is_certain;
  if (is_new || becomes_certain) {
    caught = {
        becomes_certain, base::wall_text(event.wall), moment.fader_db, moment.tick, moment.output};
  }
  return becomes_certain;
}

void CaughtRings::disown(std::size_t output) noexcept {
  for (auto& [ring, caught] : catches_) {
    caught.output = caught.output == output ? Catch::kNoOutput : caught.output;
  }
}

void CaughtRings::forget_all_but(const LiveRings& rings) {
  std::erase_if(catches_, [&](const auto& it) { return rings.find(it.first) == nullptr; });
}

std::optional<CaughtRing> CaughtRings::caught(const LiveRing& live) const {
  const auto found = catches_.find(live.id);
  if (found == catches_.end() || (!live.is_sounding() && !found->second.is_certain)) {
    return std::nullopt;
  }
  return CaughtRing{&live, &found->second};
}

std::vector<CaughtRing> CaughtRings::all(const LiveRings& rings) const {
  std::vector<CaughtRing> all;
  for (const LiveRing& live : rings.all()) {
    if (const auto ring = caught(live)) {
      all.push_back(*ring);
    }
  }
  return all;
}

std::optional<CaughtRing> CaughtRings::find(std::uint64_t ring, const LiveRings& rings) const {
  const LiveRing* live = rings.find(ring);
  return live == nullptr ? std::nullopt : caught(*live);
}

}  // namespace brink::show
