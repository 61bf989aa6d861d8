#include "app/cut_record.h"

#include <fmt/format.h>

#include <algorithm>

namespace brink::app {

io::CutRecord to_record(const cuts::Cut& cut) noexcept {
  return {cut.centre_hz, cut.q, cut.depth_db};
}

io::CutRecord to_record(const cuts::HighPass& high_pass) noexcept {
  return {high_pass.corner_hz, 0.0, 0.0};
}

cuts::Setting to_setting(std::span<const io::CutRecord> cuts) {
  cuts::Setting setting;
  for (const io::CutRecord& cut : cuts) {
    if (is_high_pass(cut)) {
      setting.high_pass.corner_hz = std::max(setting.high_pass.corner_hz, cut.centre_hz);
    } else {
      setting.cuts.push_back({cut.centre_hz, cut.q, cut.depth_db});
    }
  }
  return setting;
}

std::vector<io::CutRecord> to_records(const cuts::Setting& setting) {
  std::vector<io::CutRecord> records;
  if (setting.high_pass.corner_hz > 0.0) {
    records.push_back(to_record(setting.high_pass));
  }
  for (const cuts::Cut& cut : setting.cuts) {
    records.push_back(to_record(cut));
  }
  return records;
}

std::string cut_text(const io::CutRecord& cut) {
  const std::string centre = cut.centre_hz < 100.0 ? fmt::format("{:.1f}", cut.centre_hz)
                                                   : fmt::format("{:.0f}", cut.centre_hz);
  return is_high_pass(cut) ? fmt::format("high-pass {} Hz", centre)
                           : fmt::format("{} Hz Q {:.3g} {:.3g} dB", centre, cut.q, cut.depth_db);
}

}  // namespace brink::app
