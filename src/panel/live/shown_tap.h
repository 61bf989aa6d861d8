#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>

#include "listen/snapshot.h"
#include "panel/view.h"
#include "show/live_rings.h"

namespace brink::panel {

/// The tap whose level, map, spectrum and strip are shown, or all of them together as tap 0; all
/// taps are listened to.
[[nodiscard]] inline const listen::TapSnapshot& shown_tap(const listen::Snapshot& snapshot,
                                                          const View& view) {
  const std::size_t count = snapshot.taps.size();
  return count > 1 && !view.tap_index
             ? snapshot.together
             : snapshot.taps[std::min(view.tap_index.value_or(0), count - 1)];
}

/// The number of the channel that is shown, and of the first where all are.
[[nodiscard]] inline int shown_channel(const listen::Snapshot& snapshot, const View& view) {
  const int tap = shown_tap(snapshot, view).tap;
  return tap == 0 ? snapshot.taps.front().tap : tap;
}

/// What is wrong while no sound comes at all: the input is gone or frozen, or sends exact zeros.
/// Nothing that is shown says then what the loop does. Empty while there is sound.
[[nodiscard]] inline std::string deaf_words(const listen::Snapshot& snapshot, const View& view) {
  const listen::TapSnapshot& tap = shown_tap(snapshot, view);
  if (snapshot.health == io::InputHealth::kRunning && !tap.level.is_silent) {
    return {};
  }
  const bool is_one_of_several =
      snapshot.health == io::InputHealth::kRunning && snapshot.taps.size() > 1;
  return is_one_of_several && tap.tap != 0 ? fmt::format("channel {} is silent", tap.tap)
                                           : "brink hears nothing";
}

/// The loudest flagged ring that sounds, but for those on the tap `shown`; nullptr: none.
[[nodiscard]] inline const show::LiveRing* loudest_ringing(const show::LiveRings& rings,
                                                           double stream_s,
                                                           std::optional<int> shown) {
  const show::LiveRing* loudest = nullptr;
  for (const show::LiveRing* live : rings.shown(stream_s)) {
    const bool is_ringing = live->tap != shown && live->ring.state == detector::RingState::kRinging;
    if (is_ringing && (loudest == nullptr || live->level_now_dbfs > loudest->level_now_dbfs)) {
      loudest = live;
    }
  }
  return loudest;
}

}  // namespace brink::panel
