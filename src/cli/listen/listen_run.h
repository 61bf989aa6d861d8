#pragma once

#include "cli/listen/listen_options.h"

namespace brink::cli {

/// Listens until the input ends, the user ends it, or nobody reads stdout any more. Returns the
/// exit status. Throws base::Error when it cannot begin. [main]
[[nodiscard]] int run_listen(const ListenOptions& options);

}  // namespace brink::cli
