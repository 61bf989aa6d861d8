#pragma once

#include <chrono>
#include <string>

#include "report/sweep_report.h"

namespace brink::cli {

/// Where a sweep is kept, and under which names.
struct SweepPlace {
  std::string book;    ///< path
  std::string venue;   ///< empty: of the show in progress
  std::string show;    ///< the same
  std::string output;  ///< its name in the book
};

/// Logs a sweep as a round of its own kind: in the show in progress when that has these names, else
/// in a new one. Says so on stderr. Throws base::Error when it cannot be kept.
void keep_sweep(const SweepPlace& place,
                const report::SweepReport& report,
                std::chrono::system_clock::time_point made_at);

}  // namespace brink::cli
