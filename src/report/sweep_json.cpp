#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/units.h"
#include "report/ring_row.h"
#include "report/sweep_report.h"

namespace brink::report {
namespace {

using Json = nlohmann::ordered_json;

/// As many rings as anybody would look at.
constexpr std::size_t kMostRings = 20;

Json optional_json(const std::optional<double>& value, double factor, int decimals) {
  return value ? Json(round_to_decimals(factor * *value, decimals)) : Json(nullptr);
}

Json measurement_json(const SweepReport& report) {
  const loop::MeasuredLoop& loop = report.loop;
  Json json{{"level_dbfs", round_to_decimals(report.level_dbfs, 2)},
            {"sound_dbfs", round_to_decimals(loop.sound_dbfs, 1)},
            {"noise_dbfs", round_to_decimals(loop.noise_dbfs, 1)},
            {"peak_dbfs", round_to_decimals(loop.peak_dbfs, 1)},
            {"clipped_samples", loop.clipped_samples},
            {"distortion_percent", round_to_decimals(100.0 * loop.distortion_lin, 2)},
            {"clock_ppm", round_to_decimals(loop.clock_ppm, 2)},
            {"change_db", round_to_decimals(loop.change_db, 1)}};
  json["bands"] = Json::array();
  for (const loop::MeasuredBand& band : loop.bands) {
    json["bands"].push_back({{"centre_hz", round_to_decimals(band.centre_hz, 1)},
                             {"level_db", round_to_decimals(band.level_db - report.level_dbfs, 2)},
                             {"noise_db", round_to_decimals(band.noise_db - report.level_dbfs, 2)},
                             {"level_sd_db", round_to_decimals(band.level_sd_db, 3)},
                             {"phase_sd_deg", round_to_decimals(band.phase_sd_deg, 2)},
                             {"delay_ms", round_to_decimals(1000.0 * band.delay_s, 2)},
                             {"delay_sd_ms", round_to_decimals(1000.0 * band.delay_sd_s, 3)}});
  }
  return json;
}

}  // namespace

std::string sweep_json(const SweepReport& report) {
  const LoopForecast& forecast = report.forecast;
  Json json{{"schema", "brink/sweep/1"},
            {"from", report.from},
            {"sample_rate_hz", report.loop.sample_rate_hz},
            {"console_delay_ms", optional_json(report.known.console_delay_s, 1000.0, 3)},
            {"console_gain_db", optional_json(report.known.console_gain_db, 1.0, 2)},
            {"distance_m", optional_json(report.known.distance_m, 1.0, 3)},
            {"delay_known", report.is_delay_known}};
  json["measurement"] = report.from == "impulse" ? Json(nullptr) : measurement_json(report);
  json["stable_gain_db"] = round_to_decimals(forecast.stable_gain_db, 2);
  json["stable_gain_most_db"] = round_to_decimals(forecast.latest_db, 2);
  json["rings"] = Json::array();
  for (std::size_t k = 0; k < std::min(forecast.rings.size(), kMostRings); ++k) {
    json["rings"].push_back({{"frequency_hz", round_to_decimals(forecast.rings[k].frequency_hz, 2)},
                             {"until_db", round_to_decimals(forecast.rings[k].until_db, 2)}});
  }
  json["stable_gain_won_least_db"] = round_to_decimals(report.won_least_db, 2);
  json["stable_gain_won_most_db"] = round_to_decimals(report.won_most_db, 2);
  json["plan"] = Json::parse(plan_json(report.plan));
  json["warnings"] = report.warnings;
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string sweep_response_text(const SweepReport& report) {
  std::string text = kSweepResponseBeginning;
  for (std::size_t k = 0; k < report.gain.gain.size(); ++k) {
    const auto& gain = report.gain.gain[k];
    text += fmt::format("{:.6f},{:.3f},{:.2f}\n",
                        report.gain.loop().frequency_hz(k),
                        base::amplitude_to_db(std::abs(gain)),
                        std::arg(gain) * 57.29577951308232);
  }
  return text;
}

}  // namespace brink::report
