#pragma once

#include <string>

#include "listen/analysis.h"
#include "listen/danger.h"

namespace brink::report {

/// The recording in the words of a colleague: when it rang, at which frequency and note, how fast
/// it grew, what to cut. For a terminal of 80 columns; only the file's name may be longer.
/// What is folded under a louder ring is named under that ring's entry.
[[nodiscard]] std::string report_text(const listen::Analysis& analysis,
                                      bool with_unsure,
                                      listen::RowOrder order = listen::RowOrder::kTime);

/// Why a place stands where it does, by danger: "5.5 dB from full scale, 0.2 s at its growth; rang
/// 3 times".
[[nodiscard]] std::string danger_text(const listen::Danger& danger);

/// A moment of the stream: "0:10.6" (minutes and seconds) or "1:02:03.4" (with hours, if any).
[[nodiscard]] std::string clock_text(double stream_s);

}  // namespace brink::report
