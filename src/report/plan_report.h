#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cuts/planner.h"

namespace brink::report {

/// A plan, and what it was made from.
struct PlanReport {
  cuts::Target target;
  double sample_rate_hz = 48000.0;
  std::vector<cuts::RingMeasurement> rings;  ///< what was known when there was no loop response
  bool is_from_loop = false;
  /// With a loop whose whole gain is known: its highest crossing before, 0 dB is the brink.
  std::optional<double> loop_level_db;
  cuts::Sound sound = cuts::Sound::kBalanced;  ///< what the cuts may do to music
  cuts::Plan plan;
  std::vector<std::string> warnings;  ///< sentences
};

/// Stable gain that plans from rings alone are known to win: on 16 clips of stages, plans that
/// claimed 3.6 dB won 1.9 on average, one that claimed 6.0 won 0.8 (docs/log.md).
inline constexpr double kLeastExpectedDb = 1.0;
inline constexpr double kMostExpectedDb = 3.0;

/// {"schema":"brink/plan/1",...} in one line.
[[nodiscard]] std::string plan_json(const PlanReport& report);

/// In words: what to set, and what each move wins and costs.
[[nodiscard]] std::string plan_text(const PlanReport& report);

/// The equaliser's response with the rings marked, as an SVG picture.
[[nodiscard]] std::string plan_svg(const PlanReport& report);
/// Its first line, by which `brink plan` knows it again.
inline constexpr const char* kPlanSvgBeginning = "<!-- brink plan -->";

}  // namespace brink::report
