#include "cuts/band.h"

#include <algorithm>

namespace brink::cuts {

Band to_band(const Cut& cut) noexcept {
  return {cut.centre_hz, cut.q, cut.depth_db};
}

Band to_band(const HighPass& high_pass) noexcept {
  return {high_pass.corner_hz, 0.0, 0.0, Band::Kind::kHighPass};
}

Setting to_setting(std::span<const Band> bands) {
  Setting setting;
  for (const Band& band : bands) {
    if (is_high_pass(band)) {
      setting.high_pass.corner_hz = std::max(setting.high_pass.corner_hz, band.centre_hz);
    } else {
      setting.cuts.push_back({band.centre_hz, band.q, band.depth_db});
    }
  }
  return setting;
}

std::vector<Band> to_bands(const Setting& setting) {
  std::vector<Band> bands;
  if (setting.high_pass.corner_hz > 0.0) {
    bands.push_back(to_band(setting.high_pass));
  }
  for (const Cut& cut : setting.cuts) {
    bands.push_back(to_band(cut));
  }
  return bands;
}

}  // namespace brink::cuts
