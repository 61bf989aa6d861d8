#pragma once

#include <string>
#include <vector>

#include "io/osc_sender.h"
#include "show/session_event.h"

namespace brink::report {

/// An event as Open Sound Control; addresses and arguments are those of docs/osc.md.
struct EventMessage {
  std::string address;
  std::vector<io::OscValue> values;
};

[[nodiscard]] EventMessage event_osc(const show::SessionEvent& event);

}  // namespace brink::report
