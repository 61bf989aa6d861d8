#pragma once

#include <string>

namespace brink::base {

/// "42 %, about 12 min left": how far a work is, and how long the rest takes at the pace until now.
/// `done_ratio`: 0 to 1, 0 while it is unknown. `watched_s`: since it stood at `begun_ratio`. "42
/// %" within the first second, as the pace is not known then.
[[nodiscard]] std::string progress_words(double done_ratio,
                                         double watched_s,
                                         double begun_ratio = 0.0);

}  // namespace brink::base
