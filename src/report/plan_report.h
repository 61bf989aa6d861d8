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

/// Stable gain to expect of a plan, dB.
struct ExpectedGain {
  double least_db = 0.0;
  double most_db = 0.0;
};

/// Of a plan from rings alone, by what such plans kept on 42 rooms (bench_plan_trust, eight tenths
/// of the rooms; docs/validation.md): told the first ring 0 to 2 dB, told more of them 1 to 3.
/// Never more than the rings themselves come down.
[[nodiscard]] ExpectedGain expected_gain(const PlanReport& report) noexcept;

/// {"schema":"brink/plan/1",...} in one line.
[[nodiscard]] std::string plan_json(const PlanReport& report);

/// In words: what to set, and what each move wins and costs.
[[nodiscard]] std::string plan_text(const PlanReport& report);

/// The equaliser's response with the rings marked, as an SVG picture.
[[nodiscard]] std::string plan_svg(const PlanReport& report);
/// Its first line, by which `brink plan` knows it again.
inline constexpr const char* kPlanSvgBeginning = "<!-- brink plan -->";

}  // namespace brink::report
