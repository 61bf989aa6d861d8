#pragma once

#include <span>
#include <string>

#include "io/live/inputs.h"

namespace brink::report {

/// One JSON object on one line, line break included, schema "brink/inputs/1".
[[nodiscard]] std::string inputs_json(std::span<const io::InputDevice> inputs);

}  // namespace brink::report
