#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "cuts/setting.h"

namespace brink::cuts {

/// What one band of an equaliser is set to: a cut, or the high-pass.
struct Band {
  enum class Kind : std::uint8_t { kCut, kHighPass };

  double centre_hz = 0.0;  ///< of a high-pass: its corner
  double q = 0.0;          ///< of a high-pass 0: it has none to set
  double depth_db = 0.0;   ///< negative; of a high-pass 0
  Kind kind = Kind::kCut;

  friend bool operator==(const Band&, const Band&) = default;
};

[[nodiscard]] inline bool is_high_pass(const Band& band) noexcept {
  return band.kind == Band::Kind::kHighPass;
}

[[nodiscard]] Band to_band(const Cut& cut) noexcept;
[[nodiscard]] Band to_band(const HighPass& high_pass) noexcept;

/// The setting that the bands make; of several high-passes the highest counts.
[[nodiscard]] Setting to_setting(std::span<const Band> bands);
/// The high-pass first, if it is on.
[[nodiscard]] std::vector<Band> to_bands(const Setting& setting);

}  // namespace brink::cuts
