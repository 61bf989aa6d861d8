#pragma once

#include <string>

#include "listen/analysis.h"

namespace brink::report {

/// How the picture begins, by which `brink analyse` knows such a file again.
inline constexpr const char* kAnalysisSvgBeginning = "<!-- brink analyse -->";

/// The recording's map as SVG, on white, to be printed or sent: time across, frequency up in
/// octaves from 40 Hz to 20 kHz, a strip for each channel that was analysed. A ring is a line from
/// its onset (triangle) over where it was flagged (circle) to its end (cross); the places that
/// stand for themselves are numbered by danger and named below with their level and cut. What is
/// folded under a louder ring is a thin line.
[[nodiscard]] std::string report_svg(const listen::Analysis& analysis);

}  // namespace brink::report
