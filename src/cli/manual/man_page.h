#pragma once

#include <string>

#include "cli/manual/manual_command.h"

namespace brink::cli {

/// The manual page of `command`, with the commands below it, in the man(7) macros of troff. `top`
/// is brink itself. Without a date, so that the same program makes the same page.
[[nodiscard]] std::string man_page(const ManualCommand& command,
                                   const ManualCommand& top,
                                   const std::string& version);

/// "brink-book" for "brink book": the page's name.
[[nodiscard]] std::string page_name(const ManualCommand& command);

}  // namespace brink::cli
