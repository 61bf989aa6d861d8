#include <fmt/format.h>

#include <algorithm>

#include "report/ring_row.h"
#include "report/sweep_report.h"

namespace brink::report {
namespace {

constexpr std::size_t kMostRings = 5;

/// To the tenth; never "-0.0".
double tenths(double value) {
  return round_to_decimals(value, 1) + 0.0;
}

std::string measurement_text(const SweepReport& report) {
  const loop::MeasuredLoop& loop = report.loop;
  std::string text = fmt::format(
      "Two sweeps at {:.0f} dBFS; at the microphone {:.0f} dBFS, {:.0f} dB over the noise.\n"
      "{:>10} {:>9} {:>13} {:>12} {:>13}\n",
      report.level_dbfs,
      loop.sound_dbfs,
      loop.sound_dbfs - loop.noise_dbfs,
      "band",
      "level, dB",
      "over noise, dB",
      "phase, +- deg",
      "delay, ms");
  for (const loop::MeasuredBand& band : loop.bands) {
    text += fmt::format("{:>7.0f} Hz {:5.1f} +-{:4.1f} {:13.0f} {:12.1f} {:9.1f} +-{:4.1f}\n",
                        band.centre_hz,
                        band.level_db - report.level_dbfs,
                        band.level_sd_db,
                        band.level_db - band.noise_db,
                        band.phase_sd_deg,
                        1000.0 * (band.delay_s + loop.starts_s.value_or(-loop.direct_s)),
                        1000.0 * band.delay_sd_s);
  }
  return text + "\n";
}

/// What a level of the forecast is counted from.
std::string counted_from(const SweepReport& report) {
  return report.known.console_gain_db ? "dB more than the console's gain now"
                                      : "dB of gain from this microphone's tap to this output";
}

std::string forecast_text(const SweepReport& report) {
  const LoopForecast& forecast = report.forecast;
  if (forecast.rings.empty()) {
    return "Nothing of this loop can ring.\n";
  }
  std::string text =
      report.is_delay_known
          ? fmt::format("It will ring first at {:.0f} Hz, with {:.1f} {}. In order:\n",
                        forecast.rings.front().frequency_hz,
                        tenths(forecast.stable_gain_db),
                        counted_from(report))
          : fmt::format(
                "It can ring from {:.1f} {} on, and rings at {:.1f} at the latest: which of "
                "these is first depends on the loop's delay, and that is not known.\n",
                tenths(forecast.stable_gain_db),
                counted_from(report),
                tenths(forecast.latest_db));
  for (std::size_t k = 0; k < std::min(forecast.rings.size(), kMostRings); ++k) {
    const ForeseenRing& ring = forecast.rings[k];
    text += fmt::format("  {:>8.1f} Hz   {:+.1f} dB\n", ring.frequency_hz, tenths(ring.until_db));
  }
  return text;
}

std::string unknown_text(const SweepReport& report) {
  std::string text;
  if (!report.known.console_gain_db) {
    text +=
        "The console's gain is not measured: give it with --console-gain to be told how many "
        "dB are left.\n";
  }
  if (!report.is_delay_known) {
    text += fmt::format(
        "The loop's delay is not known{}{}: what the plan wins is told for delays up to {:.0f} ms "
        "more.\n",
        report.known.console_delay_s ? "" : "; give the console's with --console-delay",
        report.loop.starts_s || report.known.distance_m
            ? ""
            : "; give the loudspeaker's distance with --distance, or record what is sent with "
              "--reference",
        1000.0 * kMostUnknownDelayS);
  }
  return text;
}

}  // namespace

std::string sweep_text(const SweepReport& report) {
  std::string text;
  for (const std::string& warning : report.warnings) {
    text += "Note: " + warning + "\n";
  }
  text += text.empty() ? "" : "\n";
  if (report.from != "impulse") {
    text += measurement_text(report);
  }
  text += forecast_text(report) + "\n" + plan_text(report.plan);
  if (!report.is_delay_known && !report.plan.plan.moves.empty()) {
    text += fmt::format("That is the least over all delays; the most is {:.1f} dB.\n",
                        report.won_most_db);
  }
  const std::string unknown = unknown_text(report);
  return text + (unknown.empty() ? "" : "\n" + unknown);
}

}  // namespace brink::report
