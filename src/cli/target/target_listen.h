#pragma once

#include "cuts/target.h"

namespace brink::cli {

/// Prints what arrives from the target's console, each number when it is another one, until
/// `seconds` have passed (0: until a signal asks for an end). It asks for numbers where the link
/// says that it may; it sets none. Returns an ExitStatus. Throws base::Error where no way opens.
int listen_to_console(const cuts::Target& target, bool wants_json, double seconds);

}  // namespace brink::cli
