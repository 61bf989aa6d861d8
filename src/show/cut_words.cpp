#include "show/cut_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "cuts/audibility.h"

namespace brink::show {

std::optional<cuts::Band> standing_cut(const cuts::Band& logged, std::span<const cuts::Band> cuts) {
  constexpr double kFarOctaves = 1.0 / 3.0;  // as band_changes(): beyond, it is another cut
  const cuts::Band* nearest = nullptr;
  double nearest_octaves = kFarOctaves;
  for (const cuts::Band& cut : cuts) {
    if (cut == logged) {
      return cut;
    }
    const double octaves = std::abs(std::log2(cut.centre_hz / logged.centre_hz));
    if (cuts::is_high_pass(cut) == cuts::is_high_pass(logged) && octaves <= nearest_octaves) {
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

std::string cut_text(const cuts::Band& cut, cuts::Target::Kind kind) {
  const std::string centre = cut.centre_hz < 100.0 ? fmt::format("{:.1f}", cut.centre_hz)
                                                   : fmt::format("{:.0f}", cut.centre_hz);
  if (cuts::is_high_pass(cut)) {
    return fmt::format("high-pass {} Hz", centre);
  }
  return kind == cuts::Target::Kind::kGraphic
             ? fmt::format("{} {:.3g} dB", band_name(cut.centre_hz), cut.depth_db)
             : fmt::format("{} Hz Q {:.3g} {:.3g} dB", centre, cut.q, cut.depth_db);
}

std::string cut_words(const cuts::Band& cut, cuts::Target::Kind kind) {
  const std::string centre = base::frequency_label(cut.centre_hz);
  if (cuts::is_high_pass(cut)) {
    return "high-pass " + centre;
  }
  return kind == cuts::Target::Kind::kGraphic
             ? fmt::format("{}  {:.1f} dB", band_name(cut.centre_hz), cut.depth_db)
             : fmt::format("{}  Q {:.2g}  {:.1f} dB", centre, cut.q, cut.depth_db);
}

std::string audible_words(const cuts::Setting& setting) {
  const int heard = cuts::audible_count(setting);
  const auto count = static_cast<int>(setting.cuts.size());
  if (heard == 0) {
    return count == 1 ? "On music nobody would hear this cut."
                      : "On music nobody would hear these cuts.";
  }
  if (heard == count) {
    return count == 1 ? "On music a listener could hear this cut."
                      : fmt::format("On music a listener could hear all {} cuts.", count);
  }
  return fmt::format("On music a listener could hear {} of the {} cuts.", heard, count);
}

}  // namespace brink::show
