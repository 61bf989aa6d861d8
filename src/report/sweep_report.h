#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loop/sweep/measured_loop.h"
#include "report/loop_forecast.h"
#include "report/plan_report.h"

namespace brink::report {

/// What a sweep cannot see, as far as somebody knows it.
struct SweepKnowledge {
  std::optional<double> console_delay_s;  ///< of console and processors, between tap and output
  std::optional<double> console_gain_db;  ///< from the tap to the output, as the fader stands
  /// From the loudspeaker to the microphone: stands in for the devices' own delay.
  std::optional<double> distance_m;
};

/// A loop measured, what is foreseen of it and what to do.
struct SweepReport {
  std::string from;         ///< "sweep", "stage" or "impulse"
  double level_dbfs = 0.0;  ///< peak of the sweep; 0 with an impulse response
  loop::MeasuredLoop loop;  ///< bands are empty with an impulse response
  SweepKnowledge known;
  bool is_delay_known = false;  ///< all of it: air, devices and console
  EvenGain gain;                ///< once around the loop, at 0 dB or at the console's gain
  LoopForecast forecast;
  PlanReport plan;  ///< its won_db is the least over all delays that may be
  /// What the plan wins with the delays for which it wins least and most; alike with a known one.
  double won_least_db = 0.0;
  double won_most_db = 0.0;
  std::vector<std::string> warnings;  ///< sentences
};

/// A delay that nobody knows is taken to lie between 0 and this beyond what is known.
inline constexpr double kMostUnknownDelayS = 0.02;
/// Rings are foreseen so far after the first.
inline constexpr double kForeseenRangeDb = 6.0;
/// Wanted of a band, response over noise.
inline constexpr double kWantedOverNoiseDb = 20.0;

/// `report` holds from, level_dbfs, loop, known, sound and plan.target: adds the rest. Throws
/// base::Error when the measurement says nothing of the loop: samples were lost, or the loop was
/// closed.
void finish_sweep_report(SweepReport& report);

/// {"schema":"brink/sweep/1",...} in one line.
[[nodiscard]] std::string sweep_json(const SweepReport& report);

/// The same for people.
[[nodiscard]] std::string sweep_text(const SweepReport& report);

/// How that text begins, by which `brink sweep` knows it again.
inline constexpr const char* kSweepResponseBeginning =
    "# Hz, dB, degrees: once around the loop; 0 dB is the brink\n";

/// The measured response as `brink plan --loop` reads it.
[[nodiscard]] std::string sweep_response_text(const SweepReport& report);

}  // namespace brink::report
