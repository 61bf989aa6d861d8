#pragma once

#include <optional>
#include <span>
#include <vector>

#include "report/loop_gain.h"

namespace brink::report {

/// The gain once around a loop from its impulse response. `taps` begins `starts_s` after the sound
/// left, with all delay that the measurement did not see in it; `gain_db` comes on top.
[[nodiscard]] EvenGain to_even_gain(std::span<const double> taps,
                                    double sample_rate_hz,
                                    double starts_s,
                                    double gain_db);

/// A frequency at which the loop can ring.
struct ForeseenRing {
  double frequency_hz = 0.0;
  double until_db = 0.0;  ///< gain that may be added before it rings; negative: it rings
};

/// What is foreseen of a loop as its gain is raised.
struct LoopForecast {
  std::vector<ForeseenRing> rings;  ///< in the order in which they come
  double stable_gain_db = 0.0;      ///< until the first of them
  /// Until it rings with the delay for which it rings soonest and latest; both stable_gain_db when
  /// the delay is known.
  double soonest_db = 0.0;
  double latest_db = 0.0;
};

/// Of a loop whose whole delay is known: its crossings, not more than `range_db` after the first.
[[nodiscard]] LoopForecast forecast(const EvenGain& loop, double range_db);

/// Of a loop whose delay is known but for something between 0 and `most_delay_s`: its highest
/// points, which ring only with some of these delays. stable_gain_db is the soonest.
[[nodiscard]] LoopForecast forecast_any_delay(const EvenGain& loop,
                                              double most_delay_s,
                                              double range_db);

/// The loop with more delay in it.
[[nodiscard]] EvenGain delayed(const EvenGain& loop, double delay_s);

}  // namespace brink::report
