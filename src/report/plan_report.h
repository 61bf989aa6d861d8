#pragma once

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
  /// With a loop: its highest crossing before the plan; 0 dB is the brink.
  double loop_level_db = 0.0;
  cuts::Plan plan;
};

/// {"schema":"brink/plan/1",...} on one line.
[[nodiscard]] std::string plan_json(const PlanReport& report);

/// In words: what to set, and what each move wins and costs.
[[nodiscard]] std::string plan_text(const PlanReport& report);

/// The equaliser's response with the rings marked, as an SVG picture.
[[nodiscard]] std::string plan_svg(const PlanReport& report);
/// Its first line, by which `brink plan` knows it again.
inline constexpr const char* kPlanSvgBeginning = "<!-- brink plan -->";

}  // namespace brink::report
