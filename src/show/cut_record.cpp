#include "show/cut_record.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"

namespace brink::show {

show::CutRecord to_record(const cuts::Cut& cut) noexcept {
  return {cut.centre_hz, cut.q, cut.depth_db};
}

show::CutRecord to_record(const cuts::HighPass& high_pass) noexcept {
  return {high_pass.corner_hz, 0.0, 0.0};
}

cuts::Setting to_setting(std::span<const show::CutRecord> cuts) {
  cuts::Setting setting;
  for (const show::CutRecord& cut : cuts) {
    if (is_high_pass(cut)) {
      setting.high_pass.corner_hz = std::max(setting.high_pass.corner_hz, cut.centre_hz);
    } else {
      setting.cuts.push_back({cut.centre_hz, cut.q, cut.depth_db});
    }
  }
  return setting;
}

std::vector<show::CutRecord> to_records(const cuts::Setting& setting) {
  std::vector<show::CutRecord> records;
  if (setting.high_pass.corner_hz > 0.0) {
    records.push_back(to_record(setting.high_pass));
  }
  for (const cuts::Cut& cut : setting.cuts) {
    records.push_back(to_record(cut));
  }
  return records;
}

std::optional<show::CutRecord> standing_cut(const show::CutRecord& logged,
                                            std::span<const show::CutRecord> cuts) {
  constexpr double kFarOctaves = 1.0 / 3.0;  // as band_changes(): beyond, it is another cut
  const show::CutRecord* nearest = nullptr;
  double nearest_octaves = kFarOctaves;
  for (const show::CutRecord& cut : cuts) {
    if (cut == logged) {
      return cut;
    }
    const double octaves = std::abs(std::log2(cut.centre_hz / logged.centre_hz));
    if (is_high_pass(cut) == is_high_pass(logged) && octaves <= nearest_octaves) {
      nearest = &cut;
      nearest_octaves = octaves;
    }
  }
  return nearest == nullptr ? std::nullopt : std::optional(*nearest);
}

std::string band_name(double centre_hz) {
  constexpr double kNearRatio = 1.03;  // nominal names lie up to 1.2 % off; half a band is 12 %
  const int index = base::third_octave_index(centre_hz);
  const double off = centre_hz / base::third_octave_centre_hz(index);
  return std::max(off, 1.0 / off) < kNearRatio ? base::third_octave_name(index)
                                               : base::frequency_label(centre_hz);
}

std::string cut_text(const show::CutRecord& cut, cuts::Target::Kind kind) {
  const std::string centre = cut.centre_hz < 100.0 ? fmt::format("{:.1f}", cut.centre_hz)
                                                   : fmt::format("{:.0f}", cut.centre_hz);
  if (is_high_pass(cut)) {
    return fmt::format("high-pass {} Hz", centre);
  }
  return kind == cuts::Target::Kind::kGraphic
             ? fmt::format("{} {:.3g} dB", band_name(cut.centre_hz), cut.depth_db)
             : fmt::format("{} Hz Q {:.3g} {:.3g} dB", centre, cut.q, cut.depth_db);
}

std::string cut_words(const show::CutRecord& cut, cuts::Target::Kind kind) {
  const std::string centre = base::frequency_label(cut.centre_hz);
  if (is_high_pass(cut)) {
    return "high-pass " + centre;
  }
  return kind == cuts::Target::Kind::kGraphic
             ? fmt::format("{}  {:.1f} dB", band_name(cut.centre_hz), cut.depth_db)
             : fmt::format("{}  Q {:.2g}  {:.1f} dB", centre, cut.q, cut.depth_db);
}

}  // namespace brink::show
