#include "report/sweep_record.h"

#include <algorithm>

#include "base/time_of_day.h"
#include "show/cut_words.h"

namespace brink::report {

show::SweepRecord to_record(const SweepReport& report,
                            std::chrono::system_clock::time_point made_at) {
  show::SweepRecord record;
  record.made_at = base::wall_text(made_at);
  record.from = report.from;
  if (report.from != "impulse") {
    record.level_dbfs = report.level_dbfs;
    record.over_noise_db = report.loop.sound_dbfs - report.loop.noise_dbfs;
  }
  if (report.known.console_delay_s) {
    record.console_delay_ms = 1000.0 * *report.known.console_delay_s;
  }
  record.console_gain_db = report.known.console_gain_db;
  record.distance_m = report.known.distance_m;
  record.is_delay_known = report.is_delay_known;
  record.stable_gain_db = report.forecast.stable_gain_db;
  record.stable_gain_most_db = report.forecast.latest_db;
  record.won_least_db = report.won_least_db;
  record.won_most_db = report.won_most_db;
  record.lost_db = report.plan.plan.lost_db;
  const std::size_t rings = std::min(report.forecast.rings.size(), kMostKeptForeseen);
  for (std::size_t k = 0; k < rings; ++k) {
    const ForeseenRing& ring = report.forecast.rings[k];
    record.rings.push_back({ring.frequency_hz, ring.until_db});
  }
  record.cuts = cuts::to_bands(report.plan.plan.setting());
  record.warnings = report.warnings;
  return record;
}

}  // namespace brink::report
