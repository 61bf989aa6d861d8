#pragma once

#include <string>
#include <vector>

#include "cuts/planner.h"

namespace brink::report {

/// A plan and what it was made from.
struct PlanReport {
  cuts::Target target;
  double sample_rate_hz = 48000.0;
  std::vector<cuts::RingMeasurement> rings;  ///< what was known, when no loop response was
  bool is_from_loop = false;
  double loop_level_db = 0.0;  ///< with a loop: its highest crossing before, 0 dB is the brink
  cuts::Plan plan;
};

/// {"schema":"brink/plan/1",...} in one line.
[[nodiscard]] std::string plan_json(const PlanReport& report);

/// What to set, what each move buys and costs, in words.
[[nodiscard]] std::string plan_text(const PlanReport& report);

/// The equaliser's response with the rings marked, as an SVG picture.
[[nodiscard]] std::string plan_svg(const PlanReport& report);

}  // namespace brink::report
