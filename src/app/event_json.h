#pragma once

#include <string>

#include "app/session_event.h"

namespace brink::app {

/// One JSON object on one line, newline included, schema "brink/event/1"; docs/listen.md.
[[nodiscard]] std::string event_json(const SessionEvent& event);

}  // namespace brink::app
