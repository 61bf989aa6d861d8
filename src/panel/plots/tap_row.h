#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "listen/snapshot.h"
#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "show/channel_names.h"

namespace brink::panel {

/// What is wrong with single taps: "Silent: 3, 7. The same sound: 6 as 5. Clipped: 2." Empty when
/// all is well.
[[nodiscard]] std::string faults_of_taps(const listen::Snapshot& snapshot);

[[nodiscard]] float tap_row_height(const listen::Snapshot& snapshot, const Theme& theme);

/// A cell for each tap: its channel, its name where there is room, its level, the mark of its
/// loudest ring, and what is wrong with it. `shown`: the tap whose plots are shown; without it,
/// all. Returns the index of a tap that was clicked.
std::optional<std::size_t> draw_tap_row(const Rect& area,
                                        const listen::Snapshot& snapshot,
                                        std::optional<std::size_t> shown,
                                        const show::ChannelNames& names,
                                        const Actions& actions,
                                        const Theme& theme);

}  // namespace brink::panel
