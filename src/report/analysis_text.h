#pragma once

#include <string>

#include "listen/analysis.h"

namespace brink::report {

/// The recording as a colleague would note it: when, which frequency and note, how fast it grew,
/// what to cut. Made for a terminal of 80 columns (only a file's own name may be longer).
[[nodiscard]] std::string report_text(const listen::Analysis& analysis, bool with_unsure);

/// A moment of the stream, "0:10.6" or "1:02:03.4": minutes and seconds, hours when there are any.
[[nodiscard]] std::string clock_text(double stream_s);

}  // namespace brink::report
