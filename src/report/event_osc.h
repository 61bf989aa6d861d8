#pragma once

#include <string>
#include <vector>

#include "io/osc_sender.h"
#include "show/channel_names.h"
#include "show/session_event.h"

namespace brink::report {

/// An event as an Open Sound Control message. docs/osc.md describes addresses and arguments.
struct EventMessage {
  std::string address;
  std::vector<io::OscValue> values;
};

/// `names`: what the channels are called.
[[nodiscard]] EventMessage event_osc(const show::SessionEvent& event,
                                     const show::ChannelNames& names = {});

}  // namespace brink::report
