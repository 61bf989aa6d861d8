#pragma once

#include <chrono>

#include "report/sweep_report.h"
#include "show/show_record.h"

namespace brink::report {

/// A book keeps so many of the rings that a sweep foresaw.
inline constexpr std::size_t kMostKeptForeseen = 10;

/// What the book keeps of a sweep that was made then.
[[nodiscard]] show::SweepRecord to_record(const SweepReport& report,
                                          std::chrono::system_clock::time_point made_at);

}  // namespace brink::report
