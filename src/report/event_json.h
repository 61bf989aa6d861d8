#pragma once

#include <chrono>
#include <string>

#include "listen/snapshot.h"
#include "show/channel_names.h"
#include "show/session_event.h"

namespace brink::report {

/// One JSON object on one line, line break included, schema "brink/event/1"; see docs/listen.md.
/// `names`: what the channels are called.
[[nodiscard]] std::string event_json(const show::SessionEvent& event,
                                     const show::ChannelNames& names = {});

/// The levels of all taps in the same form: event "levels". A silent tap has null.
[[nodiscard]] std::string levels_json(const listen::Snapshot& snapshot,
                                      double sample_rate_hz,
                                      std::chrono::system_clock::time_point wall);

/// The forecast of a tap in the same form: event "forecast".
[[nodiscard]] std::string forecast_json(const listen::TapSnapshot& tap,
                                        double stream_s,
                                        std::chrono::system_clock::time_point wall);

}  // namespace brink::report
