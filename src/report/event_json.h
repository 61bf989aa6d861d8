#pragma once

#include <string>

#include "show/session_event.h"

namespace brink::report {

/// One JSON object on one line, newline included, schema "brink/event/1"; docs/listen.md.
[[nodiscard]] std::string event_json(const show::SessionEvent& event);

}  // namespace brink::report
