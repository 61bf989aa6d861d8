#include "report/sweep_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "cuts/loop_level.h"
#include "loop/room.h"

namespace brink::report {
namespace {

constexpr double kNoticeableClockPpm = 1.0;
constexpr double kMovedDb = -20.0;
constexpr double kMuchDistortion = 0.1;
constexpr int kDelaysTried = 9;
/// So much more delay brings a whole turn to every peak of a loop: they are all planned for.
constexpr double kAnyTurnS = 0.1;

std::string bands_text(double low_hz, double high_hz) {
  return low_hz == high_hz ? fmt::format("at {:.0f} Hz", low_hz)
                           : fmt::format("from {:.0f} to {:.0f} Hz", low_hz, high_hz);
}

/// Third-octaves in which the response does not stand over the noise, as stretches.
void warn_of_noise(SweepReport& report) {
  const auto& bands = report.loop.bands;
  std::string places;
  for (std::size_t k = 0; k < bands.size();) {
    const auto is_poor = [&](std::size_t i) {
      return bands[i].level_db - bands[i].noise_db < kWantedOverNoiseDb;
    };
    std::size_t end = k;
    while (end < bands.size() && is_poor(end)) {
      ++end;
    }
    if (end > k) {
      places +=
          (places.empty() ? "" : ", ") + bands_text(bands[k].centre_hz, bands[end - 1].centre_hz);
    }
    k = end + 1;
  }
  if (!places.empty()) {
    report.warnings.push_back(
        fmt::format("Too little signal over noise {}: what is said of rings there is unsure. Ask "
                    "for more level, for a longer sweep, or for less noise in the place.",
                    places));
  }
}

void add_warnings(SweepReport& report) {
  const loop::MeasuredLoop& loop = report.loop;
  if (loop.clipped_samples > 0) {
    report.warnings.push_back(
        fmt::format("{} samples of the recording were at full scale: turn the microphone's gain "
                    "down and measure again.",
                    loop.clipped_samples));
  }
  if (std::abs(loop.clock_ppm) >= kNoticeableClockPpm) {
    report.warnings.push_back(
        fmt::format("The recorder's clock runs {:.0f} millionths {} than the player's; this was "
                    "made up for.",
                    std::abs(loop.clock_ppm),
                    loop.clock_ppm > 0.0 ? "faster" : "slower"));
  }
  if (loop.change_db > kMovedDb) {
    report.warnings.push_back(
        fmt::format("The two sweeps differ by {:.0f} dB: the microphone moved, or something near "
                    "it. Put it on a stand and measure again.",
                    loop.change_db));
  }
  if (loop.distortion_lin > kMuchDistortion) {
    report.warnings.push_back(
        fmt::format("What came back was distorted by {:.0f} %: something on the way reaches its "
                    "end; ask for less level.",
                    100.0 * loop.distortion_lin));
  }
  warn_of_noise(report);
}

/// Seconds after the sound left the output at which taps[0] is heard; nothing when nobody knows.
std::optional<double> start_of(const SweepReport& report) {
  if (report.known.distance_m) {
    return *report.known.distance_m / loop::kSoundSpeedMps - report.loop.direct_s;
  }
  return report.loop.starts_s;
}

cuts::Plan plan_for(const SweepReport& report) {
  cuts::PlanConfig config;
  config.sample_rate_hz = report.plan.sample_rate_hz;
  config.sound = report.plan.sound;
  const EvenGain planned = report.is_delay_known ? report.gain : delayed(report.gain, kAnyTurnS);
  return cuts::plan_for_loop(planned.loop(), report.plan.target, config);
}

/// What a plan wins on the loop, or on the loop with each of the delays that may be.
void judge_plan(SweepReport& report) {
  cuts::Plan& plan = report.plan.plan;
  report.won_least_db = plan.won_db;
  report.won_most_db = plan.won_db;
  if (report.is_delay_known) {
    return;
  }
  for (int k = 0; k < kDelaysTried; ++k) {
    const EvenGain later = delayed(report.gain, kMostUnknownDelayS * k / (kDelaysTried - 1));
    const cuts::LoopLevel level(later.loop(), report.plan.sample_rate_hz);
    const double won_db = level.highest_db({}) - level.highest_db(plan.setting());
    report.won_least_db = k == 0 ? won_db : std::min(report.won_least_db, won_db);
    report.won_most_db = k == 0 ? won_db : std::max(report.won_most_db, won_db);
  }
  plan.won_db = report.won_least_db;
}

}  // namespace

void finish_sweep_report(SweepReport& report) {
  if (report.loop.has_lost_samples) {
    throw base::Error(fmt::format(
        "samples were lost between the two sweeps (their distance is off by {:.0f} millionths, "
        "more than any two clocks); close other programs and measure again.",
        std::abs(report.loop.clock_ppm)));
  }
  if (report.from != "impulse" && loop::is_closed_loop(report.loop)) {
    throw base::Error(
        "the sweep came round more than once: the microphone still reaches the loudspeaker. Shut "
        "its way to this output (mute its send) and measure again.");
  }
  const std::optional<double> start_s = start_of(report);
  report.is_delay_known = start_s && report.known.console_delay_s;
  report.gain = to_even_gain(
      report.loop.taps,
      report.loop.sample_rate_hz,
      start_s.value_or(-report.loop.direct_s) + report.known.console_delay_s.value_or(0.0),
      report.known.console_gain_db.value_or(0.0) - report.level_dbfs);
  report.forecast = report.is_delay_known
                        ? forecast(report.gain, kForeseenRangeDb)
                        : forecast_any_delay(report.gain, kMostUnknownDelayS, kForeseenRangeDb);
  report.plan.is_from_loop = true;
  if (report.known.console_gain_db) {
    report.plan.loop_level_db = -report.forecast.stable_gain_db;
  }
  report.plan.plan = plan_for(report);
  judge_plan(report);
  add_warnings(report);
}

}  // namespace brink::report
