#pragma once

#include <string>

#include "show/session_event.h"

namespace brink::report {

/// One JSON object on one line, line break included, schema "brink/event/1"; see docs/listen.md.
[[nodiscard]] std::string event_json(const show::SessionEvent& event);

}  // namespace brink::report
