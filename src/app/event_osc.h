#pragma once

#include <string>
#include <vector>

#include "app/session_event.h"
#include "io/osc_sender.h"

namespace brink::app {

/// An event as Open Sound Control; addresses and arguments are those of docs/osc.md.
struct EventMessage {
  std::string address;
  std::vector<io::OscValue> values;
};

[[nodiscard]] EventMessage event_osc(const SessionEvent& event);

}  // namespace brink::app
