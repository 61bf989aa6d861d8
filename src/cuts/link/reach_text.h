#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "cuts/link/link.h"
#include "cuts/text_fields.h"

namespace brink::cuts {

/// An address of Open Sound Control that means one place: it begins with a slash and has none of
/// the characters of a pattern, which could reach other places too. Throws base::Error.
[[nodiscard]] std::string plain_address(const Entry& entry, std::string_view text);

/// How `count` controls are reached, without their scales: `count` of them with commas between, or
/// one for all that has the first band's number in angle brackets, "/eq/<1>/depth" or "channel 1
/// controller <20+3>" (each next one three more). Throws base::Error.
[[nodiscard]] std::vector<LinkControl> to_controls(const Entry& entry,
                                                   Link::Wire wire,
                                                   std::size_t count);

}  // namespace brink::cuts
