#pragma once

#include <string>

#include "listen/analysis.h"

namespace brink::report {

/// The recording in the words of a colleague: when it rang, at which frequency and note, how fast
/// it grew, what to cut. For a terminal of 80 columns; only the file's name may be longer.
[[nodiscard]] std::string report_text(const listen::Analysis& analysis, bool with_unsure);

/// A moment of the stream: "0:10.6" (minutes and seconds) or "1:02:03.4" (with hours, if any).
[[nodiscard]] std::string clock_text(double stream_s);

}  // namespace brink::report
