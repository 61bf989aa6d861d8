#pragma once

#include <string>
#include <vector>

#include "io/osc_sender.h"
#include "show/session_event.h"

namespace brink::report {

/// An event as an Open Sound Control message. docs/osc.md describes addresses and arguments.
struct EventMessage {
  std::string address;
  std::vector<io::OscValue> values;
};

[[nodiscard]] EventMessage event_osc(const show::SessionEvent& event);

}  // namespace brink::report
