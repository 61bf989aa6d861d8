#pragma once

#include <fmt/format.h>

#include <algorithm>
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

/// A flagged ring on a tap that is not shown; nullptr: none. `tap` 0: all are shown.
[[nodiscard]] inline const show::LiveRing* ring_elsewhere(const show::LiveRings& rings,
                                                          double stream_s,
                                                          int tap) {
  const auto shown = rings.shown(stream_s);
  if (tap == 0) {
    return nullptr;
  }
  const auto found = std::find_if(shown.begin(), shown.end(), [tap](const show::LiveRing* live) {
    return live->tap != tap && live->ring.state == detector::RingState::kRinging;
  });
  return found == shown.end() ? nullptr : *found;
}

}  // namespace brink::panel
